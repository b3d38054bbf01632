/* A sweep of aims as a compiled loop would do it: one sample after the other.
 *
 * A kernel defines KEPT and two functions before it includes this file a second time, with SWEEP
 * defined (see any of them):
 *
 *   keep   works out what no aim moves, once for each sample: KEPT figures, the first of them the
 *          swept size at offset 0; and whether the needs that no aim moves are met;
 *   meets  says whether the needs that the aim moves are met, the swept size being what it is.
 */

#ifndef KERNEL_SWEEP_H
#define KERNEL_SWEEP_H

#include <math.h>
#include <stdint.h>

typedef struct {
    const double *const *sample; /* one array for each feature and unknown */
    const double *const *table;  /* tabulated in Python */
    const double *number;        /* what one spec fixes */
} Given;

static inline double at_least(double value, double low) { return value > low ? value : low; }
static inline double at_most(double value, double high) { return value < high ? value : high; }
static inline double between(double low, double value, double high)
{
    return at_most(at_least(value, low), high);
}

#endif

#ifdef SWEEP

enum { BLOCK = 2048 }; /* samples whose figures stay in the cache while the aims pass over them */

/* For samples first to last and offsets ascending: right[row * count + i] says whether sample i
 * meets every need at an offset; correctable whether it does not but taking off more metal would
 * bring it there: a smaller piece (smaller = 1), a larger (-1), or nothing would (0). rights and
 * correctables count them. */
void sweep(const Given *restrict given, int64_t count, int64_t first, int64_t last, int64_t rows,
           const double *restrict offsets, int64_t smaller, uint8_t *restrict right,
           uint8_t *restrict correctable, int64_t *restrict rights,
           int64_t *restrict correctables)
{
    double kept[KEPT][BLOCK];
    uint8_t ever[BLOCK], further[BLOCK];
    for (int64_t row = 0; row < rows; row++)
        rights[row] = correctables[row] = 0;
    for (int64_t start = first; start < last; start += BLOCK) {
        const int64_t size = last - start < BLOCK ? last - start : BLOCK;
        for (int64_t i = 0; i < size; i++) {
            double figures[KEPT];
            ever[i] = (uint8_t)keep(given, start + i, figures);
            further[i] = 0;
            for (int k = 0; k < KEPT; k++)
                kept[k][i] = figures[k];
        }
        for (int64_t step = 0; step < rows; step++) {
            const int64_t row = smaller < 0 ? rows - 1 - step : step;
            const double offset = offsets[row];
            const uint8_t corrects = smaller != 0;
            uint8_t *here = right + row * count + start, *later = correctable + row * count + start;
            int32_t met = 0, not_yet = 0;
            for (int64_t i = 0; i < size; i++) {
                double figures[KEPT];
                for (int k = 0; k < KEPT; k++)
                    figures[k] = kept[k][i];
                uint8_t good = (uint8_t)meets(given, figures, figures[0] + offset) & ever[i];
                uint8_t waits = further[i] & !good & corrects;
                here[i] = good;
                later[i] = waits;
                further[i] |= good;
                met += good;
                not_yet += waits;
            }
            rights[row] += met;
            correctables[row] += not_yet;
        }
    }
}

#endif
