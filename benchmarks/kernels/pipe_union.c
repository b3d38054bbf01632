/* A pipe union tightened with a spanner: threads by aim; cones, pipe and spanner whatever it is. */

#include "kernel_sweep.h"

enum {
    SCREW, NUT, LEAD_ERROR, OVERSIZE, MAJOR, PULL, THREAD_FRICTION, COLLAR_FRICTION, NIPPLE_CONE,
    SEAT_CONE, SOFTER_YIELD, SEAL_RATIO, SCREW_STRENGTH, NUT_STRENGTH, WALL
};
enum { MARGIN_AT, HEADS_AT };
enum {
    DRILL, HEIGHT, HALF_ANGLE, PITCH, BASIC, LENGTH, ARM, COLLAR_RADIUS, LEAST_FRICTION, SLOPE,
    SEAT_DIAMETER, SEAT_WIDTH, LEAST_BAND, MODULUS, CONSTRAINT, END_LOAD, THINNEST, THICKEST,
    PIPE_DIAMETER, AT_UNIT_BORE, SHEAR_SHARE,
    TURNING_PLAY, LOOSEST, ENGAGED, STRIPPING_FACTOR, SEALED, MISMATCH, PIPE_MARGIN, FASTEST,
    LARGEST_DROP
};
enum { SIZE, TAPPED, TAKEN, CORE, TOUGH, STRONG_NUT, LOAD, KEPT };

static const double PI = 3.14159265358979323846;

static inline double preload(const Given *g, int64_t s)
{
    const double *n = g->number;
    double thread = at_least(g->sample[THREAD_FRICTION][s], n[LEAST_FRICTION]);
    double collar = at_least(g->sample[COLLAR_FRICTION][s], n[LEAST_FRICTION]);
    double lead = n[PITCH] / (PI * n[BASIC]), rubbing = thread / cos(n[HALF_ANGLE]);
    double arm = 0.5 * n[BASIC] * (lead + rubbing) / (1.0 - lead * rubbing);
    return n[ARM] * at_least(g->sample[PULL][s], 0.0) / (arm + collar * n[COLLAR_RADIUS]);
}

static inline int sealed(const Given *g, int64_t s, double force, double angle)
{
    const double *n = g->number;
    double friction = at_least(g->sample[THREAD_FRICTION][s], n[LEAST_FRICTION]);
    double slope = sin(n[SLOPE]) + friction * cos(n[SLOPE]);
    double pressed = at_least(force / (PI * n[SEAT_DIAMETER] * slope), 0.0);
    double softer = g->sample[SOFTER_YIELD][s];
    double wedge = at_most(0.5 * angle * (0.25 * PI * n[MODULUS]), softer * n[CONSTRAINT]);
    double pressure = at_most(at_least(pressed / n[SEAT_WIDTH], wedge), pressed / n[LEAST_BAND]);
    return pressure / (g->sample[SEAL_RATIO][s] * softer) >= n[SEALED];
}

static inline int pipe(const Given *g, int64_t s)
{
    const double *n = g->number, *m = g->table[MARGIN_AT], *h = g->table[HEADS_AT];
    double wall = between(n[THINNEST], g->sample[WALL][s], n[THICKEST]);
    double margin = ((m[0] * wall + m[1]) * wall + m[2]) * wall + m[3];
    double bore = n[PIPE_DIAMETER] - 2.0 * wall, velocity = n[AT_UNIT_BORE] / (bore * bore);
    double drop = ((h[0] * velocity + h[1]) * velocity + h[2]) * velocity * velocity;
    return (margin >= n[PIPE_MARGIN]) & (velocity <= n[FASTEST]) & (drop <= n[LARGEST_DROP]);
}

static inline int keep(const Given *g, int64_t s, double *kept)
{
    const double *n = g->number;
    double core = n[DRILL] + g->sample[OVERSIZE][s], major = g->sample[MAJOR][s];
    double angle = fabs(g->sample[NIPPLE_CONE][s] - g->sample[SEAT_CONE][s]);
    double tight = preload(g, s), nut = g->sample[NUT][s];
    double tooth = at_least(0.5 * n[PITCH] + tan(n[HALF_ANGLE]) * (major - nut), 0.0);
    kept[SIZE] = g->sample[SCREW][s];
    kept[TAPPED] = nut;
    kept[TAKEN] = fabs(g->sample[LEAD_ERROR][s]) / tan(n[HALF_ANGLE]);
    kept[CORE] = core;
    kept[TOUGH] = g->sample[SCREW_STRENGTH][s];
    kept[STRONG_NUT] =
        PI * n[LENGTH] / n[PITCH] * major * tooth * g->sample[NUT_STRENGTH][s];
    kept[LOAD] = tight + n[END_LOAD];
    return ((major - core) / n[HEIGHT] >= n[ENGAGED]) & (angle <= n[MISMATCH]) &
           sealed(g, s, tight - n[END_LOAD], angle) & pipe(g, s);
}

static inline int meets(const Given *g, const double *kept, double screw)
{
    const double *n = g->number;
    double clearance = kept[TAPPED] - screw;
    double tooth = at_least(0.5 * n[PITCH] + tan(n[HALF_ANGLE]) * (screw - kept[CORE]), 0.0);
    double strong = PI * n[LENGTH] / n[PITCH] * kept[CORE] * tooth * kept[TOUGH];
    double margin = n[SHEAR_SHARE] * at_most(strong, kept[STRONG_NUT]) / kept[LOAD];
    return (clearance - kept[TAKEN] >= n[TURNING_PLAY]) & (clearance <= n[LOOSEST]) &
           (margin >= n[STRIPPING_FACTOR]);
}

#define SWEEP
#include "kernel_sweep.h"
