/* A plug cock for water, both angles cut at one setting and touch-lapped, port drilled before. */

#include "kernel_sweep.h"

enum { PLUG, BODY, FLOOR, TAKE_UP, PEAKS, PULL, FRICTION, PRESSED };
enum { SHAPE, OVERLAP_FROM, OVERLAP_FALLS };
enum {
    LENGTH, TAPER, LAMINAR, ORIFICE, DROPS, STEPS, STEPS_PER_LENGTH, ARM, LIFT,
    DROPS_ALLOWED, OVERLAP_WANTED, ROOM_TO_SINK, TORQUE_ALLOWED, HOLD
};
enum { SIZE, REAMED, LAPPED, TAKEN_UP, WORN, KEPT };

static inline int keep(const Given *g, int64_t s, double *kept)
{
    const double *n = g->number;
    double pull = g->sample[PULL][s];
    kept[SIZE] = g->sample[PLUG][s];
    kept[REAMED] = g->sample[BODY][s];
    kept[LAPPED] = g->sample[FLOOR][s];
    kept[TAKEN_UP] = g->sample[TAKE_UP][s];
    kept[WORN] = at_least(g->sample[PEAKS][s] - kept[LAPPED], 0.0);
    return (n[ARM] * pull * g->sample[FRICTION][s] <= n[TORQUE_ALLOWED]) &
           (pull - n[LIFT] * g->sample[PRESSED][s] >= n[HOLD]);
}

static inline int meets(const Given *g, const double *kept, double plug)
{
    const double *n = g->number, *shape = g->table[SHAPE];
    double rise = 0.5 * n[LENGTH] * fabs(plug - kept[REAMED]);
    double left = at_least(rise - kept[TAKEN_UP], 0.0);
    double gap = kept[LAPPED] + 0.5 * left, openness = 0.5 * left / gap;
    double square = openness * openness;
    double factor = ((shape[3] * square + shape[2]) * square + shape[1]) * square + shape[0];
    double pace = n[LAMINAR] * (gap * factor) * gap;
    double choking = pace * pace * (4.0 / (n[ORIFICE] * n[ORIFICE])) + 1.0;
    double drops = n[DROPS] * (2.0 * pace * gap / (1.0 + sqrt(choking)));
    double sink = 2.0 / n[TAPER] * (kept[WORN] + rise - left);
    double place = at_most(fabs(sink) * n[STEPS_PER_LENGTH], n[STEPS]);
    int32_t cell = (int32_t)place;
    double overlap = g->table[OVERLAP_FROM][cell] + g->table[OVERLAP_FALLS][cell] * place;
    return (drops <= n[DROPS_ALLOWED]) & (overlap >= n[OVERLAP_WANTED]) &
           (sink <= n[ROOM_TO_SINK]);
}

#define SWEEP
#include "kernel_sweep.h"
