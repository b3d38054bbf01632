/* The piston's forward model and its needs over many aims, as a compiled loop would do it:
 * one sample after the other, the same table, the same arithmetic, the same results. */

#include <stdint.h>

enum { BLOCK = 4096 }; /* samples that stay in the cache while the aims pass over them */

typedef struct {
    const double *corner, *along, *across, *both; /* of each cell of the table */
    double per_clearance, per_posture, least_posture, last_row, last_column;
    int64_t columns;
    double form, roughness, diameter, share_limit;
} Model;

static inline double held(double value, double low, double high)
{
    double above = value > low ? value : low;
    return above < high ? above : high;
}

static inline double steam_share(const Model *m, double clearance, double posture)
{
    double x = held(clearance * m->per_clearance, 0.0, m->last_row);
    double y = held((posture - m->least_posture) * m->per_posture, 0.0, m->last_column);
    int32_t row = (int32_t)x, column = (int32_t)y;
    int32_t cell = row * (int32_t)m->columns + column;
    x -= row;
    y -= column;
    double root = (m->both[cell] * y + m->along[cell]) * x + m->across[cell] * y + m->corner[cell];
    return root * root * root;
}

/* For samples first to last, offsets ascending: right[row * count + i] says whether sample i
 * meets every need at an offset, correctable whether it does not but a smaller piston would;
 * rights and correctables count them. */
void sweep(const Model *model, int64_t count, int64_t first, int64_t last,
           const double *restrict bore, const double *restrict piston,
           const double *restrict lead, const double *restrict film,
           const double *restrict posture, const double *restrict expansion, int64_t rows,
           const double *restrict offsets, uint8_t *restrict right,
           uint8_t *restrict correctable, int64_t *restrict rights,
           int64_t *restrict correctables)
{
    const Model m = *model;
    uint8_t smaller_is_right[BLOCK];
    for (int64_t row = 0; row < rows; row++)
        rights[row] = correctables[row] = 0;
    for (int64_t start = first; start < last; start += BLOCK) {
        const int64_t size = last - start < BLOCK ? last - start : BLOCK;
        for (int64_t i = 0; i < size; i++)
            smaller_is_right[i] = 0;
        for (int64_t row = 0; row < rows; row++) {
            const double offset = offsets[row];
            uint8_t *here = right + row * count + start, *later = correctable + row * count + start;
            int32_t met = 0, not_yet = 0;
            for (int64_t i = 0; i < size; i++) {
                const int64_t s = start + i;
                double cold = bore[s] - (piston[s] + offset);
                double running = cold + expansion[s] * lead[s] * -m.diameter;
                double play = running - (film[s] + m.form);
                double share = steam_share(&m, running + m.roughness, posture[s]);
                uint8_t good = (share <= m.share_limit) & (play >= 0.0);
                uint8_t waits = smaller_is_right[i] & !good;
                here[i] = good;
                later[i] = waits;
                smaller_is_right[i] |= good;
                met += good;
                not_yet += waits;
            }
            rights[row] += met;
            correctables[row] += not_yet;
        }
    }
}
