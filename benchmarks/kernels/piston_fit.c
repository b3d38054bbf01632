/* A ring-less piston in a bore of its own metal: the table of steam, play running and cold. */

#include "kernel_sweep.h"

enum { BORE, PISTON, LEAD, FILM, POSTURE, EXPANSION };
enum { CORNER, ALONG, ACROSS, BOTH };
enum {
    PER_CLEARANCE, PER_POSTURE, LEAST_POSTURE, LAST_ROW, LAST_COLUMN, COLUMNS,
    FORM, ROUGHNESS, DIAMETER, SHARE, RUNNING_PLAY, WARM_UP_PLAY, COLD_PLAY
};
enum { SIZE, BORED, CHANGE, TAKEN, COLUMN, PLACE, KEPT };

static inline int keep(const Given *g, int64_t s, double *kept)
{
    const double *n = g->number;
    double place = (g->sample[POSTURE][s] - n[LEAST_POSTURE]) * n[PER_POSTURE];
    place = between(0.0, place, n[LAST_COLUMN]);
    kept[SIZE] = g->sample[PISTON][s];
    kept[BORED] = g->sample[BORE][s];
    kept[CHANGE] = g->sample[EXPANSION][s] * g->sample[LEAD][s] * -n[DIAMETER];
    kept[TAKEN] = g->sample[FILM][s] + n[FORM];
    kept[COLUMN] = floor(place);
    kept[PLACE] = place - kept[COLUMN];
    return 1;
}

static inline int meets(const Given *g, const double *kept, double piston)
{
    const double *n = g->number;
    double cold = kept[BORED] - piston, running = cold + kept[CHANGE];
    double x = between(0.0, (running + n[ROUGHNESS]) * n[PER_CLEARANCE], n[LAST_ROW]);
    int32_t row = (int32_t)x, cell = row * (int32_t)n[COLUMNS] + (int32_t)kept[COLUMN];
    double y = kept[PLACE];
    x -= row;
    double root = (g->table[BOTH][cell] * y + g->table[ALONG][cell]) * x +
                  g->table[ACROSS][cell] * y + g->table[CORNER][cell];
    double share = root * root * root;
    double play = running - kept[TAKEN]; /* alike, they play as much while they warm up */
    return (share <= n[SHARE]) & (play >= n[RUNNING_PLAY]) & (play >= n[WARM_UP_PLAY]) &
           (cold - n[FORM] >= n[COLD_PLAY]);
}

#define SWEEP
#include "kernel_sweep.h"
