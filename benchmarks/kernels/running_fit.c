/* An oiled journal in a bush pressed into a housing, three metals: play by aim. Film, metal and
 * the bush's grip stand as they are: at the demo's load the metal carries, whatever the play. */

#include "kernel_sweep.h"

enum {
    BORE, JOURNAL, LEAD, LOAD, LIMIT, OIL_FACTOR, OUTSIDE, HOUSING, CLOSING, JOURNAL_GROWS,
    BEARING_GROWS, HOUSING_GROWS
};
enum { FILM_FROM, FILM_RISES, OILINESS };
enum {
    DIAMETER, RISE, SEAT, SMOOTHED, BUSH_CLOSING, FORM, COLDEST_LEAD, WARMEST_LEAD, REACH,
    LAST_CELL, PER_FILM, PER_BORNE, NO_GAP, CARRIES, RUNNING_PLAY, COLD_PLAY, PLAY, GRIP
};
enum { SIZE, PIN, CHANGE, KEPT };

static inline int carried(const Given *g, int64_t s, double running)
{
    const double *n = g->number, *oil = g->table[OILINESS];
    double lead = between(n[COLDEST_LEAD], g->sample[LEAD][s], n[WARMEST_LEAD]);
    double root = ((oil[3] * lead + oil[2]) * lead + oil[1]) * lead + oil[0];
    double load = g->sample[LOAD][s];
    double reach = sqrt(g->sample[OIL_FACTOR][s] / load) * root * n[REACH];
    double gap = 0.5 * at_least(running, n[NO_GAP]);
    double place = gap / (gap + reach) * n[LAST_CELL];
    int32_t cell = (int32_t)place;
    double film = (g->table[FILM_FROM][cell] + g->table[FILM_RISES][cell] * (place - cell)) * gap;
    double borne = g->sample[LIMIT][s] / load * n[PER_BORNE];
    return at_least(film * n[PER_FILM], borne) >= n[CARRIES];
}

static inline int keep(const Given *g, int64_t s, double *kept)
{
    const double *n = g->number;
    double inner = g->sample[JOURNAL_GROWS][s], bearing = g->sample[BEARING_GROWS][s];
    double tighter = (bearing - g->sample[HOUSING_GROWS][s]) * (n[RISE] * n[SEAT]);
    double grip = g->sample[OUTSIDE][s] - g->sample[HOUSING][s] - n[SMOOTHED] + tighter;
    double more = at_least(grip, 0.0) - at_least(grip - tighter, 0.0);
    double change = (g->sample[LEAD][s] * inner - (bearing - inner) * n[RISE]) * -n[DIAMETER];
    change -= more * g->sample[CLOSING][s] * n[BUSH_CLOSING];
    kept[SIZE] = g->sample[BORE][s];
    kept[PIN] = g->sample[JOURNAL][s];
    kept[CHANGE] = change;
    return (grip >= n[GRIP]) & carried(g, s, kept[SIZE] - kept[PIN] + change);
}

static inline int meets(const Given *g, const double *kept, double bore)
{
    const double *n = g->number;
    double cold = bore - kept[PIN], running = cold + kept[CHANGE];
    return (running - n[FORM] >= n[RUNNING_PLAY]) & (cold - n[FORM] >= n[COLD_PLAY]) &
           (at_least(cold, running) <= n[PLAY]);
}

#define SWEEP
#include "kernel_sweep.h"
