/* A tyre on a spoked wheel of another metal: thick rings, stresses, grip and heat, all by aim. */

#include "kernel_sweep.h"

enum {
    BORE, SEAT, SMOOTHING, FRICTION, ADHESION, LEAD, YIELD, TYRE_MODULUS, WHEEL_MODULUS,
    TYRE_GROWS, WHEEL_GROWS, BEARING
};
enum {
    SEAT_SIZE, ROUGHNESS, COLDEST, WARMEST, GIVE, HELD, FREE, STIFFNESS, MOST_BACK, SQUEEZE,
    RELIEF, BENDING, AREA, LOAD, PUSH, MISES, HOOP, CLEARANCE, ROOM,
    HOOP_LIMIT, YIELD_SHARE, RIM_LIMIT, COLD_GRIP, HOT_GRIP, HIGHEST_HEAT
};
enum {
    SIZE, TURNED, TIGHTENED, LOOSENED, HEATED, TAKEN_UP, STRAINED, SQUEEZED, GRIPS, OPENS, KEPT
};

static inline int keep(const Given *g, int64_t s, double *kept)
{
    const double *n = g->number;
    double share = 1.0 / (1.0 + n[STIFFNESS] * at_least(g->sample[BEARING][s], 0.0));
    double rim = n[HELD] + (n[FREE] - n[HELD]) * share;
    double both =
        n[GIVE] / g->sample[TYRE_MODULUS][s] + rim / g->sample[WHEEL_MODULUS][s];
    double taken_up = 1.0 / (n[SEAT_SIZE] * both);
    double rough = n[ROUGHNESS] * g->sample[SMOOTHING][s];
    double grown = g->sample[TYRE_GROWS][s] * n[SEAT_SIZE];
    double apart = grown - g->sample[WHEEL_GROWS][s] * n[SEAT_SIZE];
    double cold = apart * n[COLDEST], warm = apart * n[WARMEST];
    double asked = n[LOAD] * sqrt(g->sample[ADHESION][s] * g->sample[ADHESION][s] +
                                  n[PUSH] * n[PUSH]);
    double back = n[MOST_BACK] * (1.0 - share);
    kept[SIZE] = g->sample[BORE][s];
    kept[TURNED] = g->sample[SEAT][s];
    kept[TIGHTENED] = rough + at_most(cold, warm);
    kept[LOOSENED] = rough + at_least(cold, warm);
    kept[HEATED] = kept[LOOSENED] + grown * g->sample[LEAD][s];
    kept[TAKEN_UP] = taken_up;
    kept[STRAINED] = n[MISES] * taken_up / g->sample[YIELD][s];
    kept[SQUEEZED] = taken_up * (n[SQUEEZE] + (n[BENDING] - n[RELIEF]) * back);
    kept[GRIPS] = taken_up * g->sample[FRICTION][s] * n[AREA] / asked;
    kept[OPENS] = 1.0 / grown;
    return 1;
}

static inline int meets(const Given *g, const double *kept, double bore)
{
    const double *n = g->number;
    double gauged = kept[TURNED] - bore, tight = at_least(gauged - kept[TIGHTENED], 0.0);
    double heat = n[ROOM] + (gauged + n[CLEARANCE]) * kept[OPENS];
    return (n[HOOP] * (kept[TAKEN_UP] * tight) <= n[HOOP_LIMIT]) &
           (kept[STRAINED] * tight <= n[YIELD_SHARE]) &
           (kept[SQUEEZED] * tight <= n[RIM_LIMIT]) &
           (at_least(gauged - kept[LOOSENED], 0.0) * kept[GRIPS] >= n[COLD_GRIP]) &
           (at_least(gauged - kept[HEATED], 0.0) * kept[GRIPS] >= n[HOT_GRIP]) &
           (heat <= n[HIGHEST_HEAT]);
}

#define SWEEP
#include "kernel_sweep.h"
