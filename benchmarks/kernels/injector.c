/* An injector that is to run, deliver and stay flooded, at the corners of its range that bind.
 *
 * All corners share the sizes of a sample; each has tables and numbers of its own, one after the
 * other. Steam that leaves the wall before the mouth is not known here: the loop is handed corners
 * at which it does not.
 */

#include "kernel_sweep.h"

enum {
    STEAM, MOUTH, NOSE, COMBINING, DELIVERY, DEPTH, DRAFT, STEAM_DISCHARGE, MOMENTUM, WATER, MIXING,
    RECOVERY
};
enum { FALLS, FOLDS, LOG_MOUTH, VELOCITY, OF_CORNERS, WARMTH = 0, BOILING };
enum {
    EXIT, NOSE_DEPTH, SLOPE, PLACES, PER_PLACE, LAST_PLACE, LEAST_MIXING, PER_MIXING, LAST_MIXING,
    PER_RATIO, LAST_RATIO, SPEED_KEPT, ROUNDS, WARMTH_FROM, PER_WARMTH, LAST_WARMTH, BOILING_FROM,
    PER_BOILING, MARGIN_WANTED, FRESH_WANTED, FULLNESS_WANTED, OF_ALL
};
enum {
    FLUX, STEAM_ENTHALPY, FEED_ENTHALPY, FEED_TEMPERATURE, FEED_DENSITY, SUCTION, HOTTEST, ROOT,
    BRINGS, NEEDED, OVERFLOW_OVER_AIR, OVERFLOW, MIDDLE, PER_HALF, TERMS, OF_ONE = TERMS + 5
};
enum { AT_LOWEST, BLOWING_OFF, AT_WORK, CORNERS };
enum { FLOW, PER_FOLD, LEVEL, RISE, LIFT, HELD };
enum {
    SIZE, GOES, SHIFT, NOSE_SQUARE, ENTRY, OUTLET, DELIVERS, MIXED, ROW, PART, EACH,
    KEPT = EACH + CORNERS * HELD
};

static inline double circle(double diameter)
{
    return 0.25 * 3.14159265358979323846 * diameter * diameter;
}

static inline double read_off(const double *table, double from, double per, double last, double at)
{
    double place = between(0.0, (at - from) * per, last);
    int32_t cell = (int32_t)place;
    return table[cell] + (place - cell) * (table[cell + 1] - table[cell]);
}

static inline int keep(const Given *g, int64_t s, double *kept)
{
    const double *n = g->number;
    double throat = at_least(g->sample[STEAM][s], 1e-7), mouth = g->sample[MOUTH][s];
    double nose = g->sample[NOSE][s], combining = g->sample[COMBINING][s];
    double delivery = g->sample[DELIVERY][s];
    double throat_area = circle(throat), mouth_area = circle(mouth), outlet = circle(combining);
    double ratio = mouth_area / throat_area - 1.0;
    double opening = sqrt(at_least(ratio, 0.0)) * n[PER_RATIO];
    double share = n[SPEED_KEPT], momentum = g->sample[MOMENTUM][s] / share;
    double place = between(0.0, (g->sample[MIXING][s] - n[LEAST_MIXING]) * n[PER_MIXING],
                           n[LAST_MIXING]);
    double narrow = delivery / n[EXIT];
    int32_t row = (int32_t)place;
    kept[SIZE] = g->sample[DRAFT][s];
    kept[GOES] = (throat < mouth) & (mouth < nose) & (delivery > 0.0) & (delivery < combining) &
                 (delivery < n[EXIT]);
    kept[SHIFT] = n[SLOPE] * (g->sample[DEPTH][s] - n[NOSE_DEPTH]);
    kept[NOSE_SQUARE] = nose * nose;
    kept[ENTRY] = 0.25 * 3.14159265358979323846 * g->sample[WATER][s];
    kept[OUTLET] = outlet;
    kept[DELIVERS] = circle(delivery);
    kept[MIXED] = g->sample[MIXING][s];
    kept[ROW] = row;
    kept[PART] = place - row;
    narrow *= narrow;
    for (int c = 0; c < CORNERS; c++) {
        const double *m = n + OF_ALL + c * OF_ONE, *const *table = g->table + 2 + c * OF_CORNERS;
        double *held = kept + EACH + c * HELD;
        double pressure = exp(read_off(table[LOG_MOUTH], 0.0, 1.0, n[LAST_RATIO], opening));
        double velocity = read_off(table[VELOCITY], 0.0, 1.0, n[LAST_RATIO], opening);
        double flow = g->sample[STEAM_DISCHARGE][s] * throat_area * m[FLUX];
        double fold = table[FOLDS][row] +
                      kept[PART] * (table[FOLDS][row + 1] - table[FOLDS][row]);
        double push = flow * share * velocity + (pressure - m[SUCTION]) * mouth_area;
        held[FLOW] = flow;
        held[PER_FOLD] = 1.0 / (flow * fold);
        held[LEVEL] = momentum * push - (m[OVERFLOW] - m[SUCTION]) * outlet;
        held[RISE] = momentum * mouth_area - outlet;
        held[LIFT] = 0.5 * g->sample[RECOVERY][s] * (1.0 - narrow * narrow);
    }
    return 1;
}

static inline double density_at(const double *m, double enthalpy)
{
    double at = (enthalpy - m[MIDDLE]) * m[PER_HALF];
    const double *t = m + TERMS;
    return (((t[4] * at + t[3]) * at + t[2]) * at + t[1]) * at + t[0];
}

typedef struct {
    double margin, fresh, fullness;
} Does;

/* One corner; nothing where it does not run. */
static inline Does at_corner(const Given *g, const double *kept, double ring, int corner)
{
    const double *n = g->number, *m = n + OF_ALL + corner * OF_ONE;
    const double *const *table = g->table + 2 + corner * OF_CORNERS;
    const double *held = kept + EACH + corner * HELD;
    Does none = {0.0, 0.0, 0.0};
    double inflow = kept[ENTRY] * m[ROOT] * ring, over = inflow * held[PER_FOLD];
    if (!(over >= 1.0) || !(ring > 0.0) || kept[GOES] == 0.0)
        return none;
    double place = at_most(sqrt(log(over)) * n[PER_PLACE], n[LAST_PLACE]);
    int32_t cell = (int32_t)place, across = (int32_t)n[PLACES];
    const double *near = table[FALLS] + (int32_t)kept[ROW] * across + cell, *far = near + across;
    place -= cell;
    double below = near[0] + place * (near[1] - near[0]), above = far[0] + place * (far[1] - far[0]);
    double fall = below + kept[PART] * (above - below), steam = held[FLOW];
    double heat = steam * m[STEAM_ENTHALPY], feed = inflow * fall;
    double enthalpy = (heat + feed * m[FEED_ENTHALPY]) / (steam + feed);
    double density = density_at(m, enthalpy), rise = m[BRINGS] * inflow + held[RISE];
    double momentum = held[LEVEL] + rise * fall * fall;
    if ((steam + feed) * (steam + feed) > density * kept[OUTLET] * momentum) { /* throat solid */
        double half = inflow * steam;
        for (int round = 0; round < (int)n[ROUNDS]; round++) {
            feed = inflow * fall;
            enthalpy = (heat + feed * m[FEED_ENTHALPY]) / (steam + feed);
            double room = density_at(m, enthalpy) * kept[OUTLET];
            double constant = steam * steam - room * held[LEVEL];
            double root = half * half - (inflow * inflow - room * rise) * constant;
            fall = at_least(-constant / (half + sqrt(at_least(root, 0.0))), 0.0);
        }
        feed = inflow * fall;
        enthalpy = (heat + feed * m[FEED_ENTHALPY]) / (steam + feed);
        momentum = held[LEVEL] + rise * fall * fall;
        density = density_at(m, enthalpy);
        double warmth = read_off(g->table[WARMTH], n[WARMTH_FROM], n[PER_WARMTH], n[LAST_WARMTH],
                                 enthalpy);
        double between_them = m[FEED_TEMPERATURE] + kept[MIXED] * (warmth - m[FEED_TEMPERATURE]);
        double vapour = read_off(g->table[BOILING], n[BOILING_FROM], n[PER_BOILING],
                                 n[LAST_WARMTH], between_them);
        if ((vapour > m[SUCTION] - fall * fall) | (enthalpy > m[HOTTEST]) | (momentum <= 0.0))
            return none;
    }
    double total = steam + feed, velocity = momentum / total;
    double capacity = kept[DELIVERS] * velocity * density;
    double margin = (m[OVERFLOW_OVER_AIR] + held[LIFT] * density * velocity * velocity) / m[NEEDED];
    Does found = {
        margin,
        margin >= 1.0 ? at_most(capacity, total) * (feed / total) / m[FEED_DENSITY] : 0.0,
        capacity > 0.0 ? total / capacity : 0.0,
    };
    return found;
}

static inline int meets(const Given *g, const double *kept, double draft)
{
    const double *n = g->number;
    double bore = draft - kept[SHIFT], ring = bore * bore - kept[NOSE_SQUARE];
    Does hot = at_corner(g, kept, ring, BLOWING_OFF);
    if (!((hot.margin >= n[MARGIN_WANTED]) & (hot.fullness >= n[FULLNESS_WANTED])))
        return 0;
    return (at_corner(g, kept, ring, AT_LOWEST).margin >= n[MARGIN_WANTED]) &&
           (at_corner(g, kept, ring, AT_WORK).fresh >= n[FRESH_WANTED]);
}

#define SWEEP
#include "kernel_sweep.h"
