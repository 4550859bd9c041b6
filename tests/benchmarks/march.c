/* The march of heatloss/balance/kernel.py in C, for networks without controls and without vapor: the same loops in the
 * same order over the same arrays, lanes innermost. Built and called by in_c.py to show what the compiled Python costs.
 */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

typedef double *restrict row;
typedef const double *restrict read_row;
enum { BUOYANT = 1, ROOT_SQUARE = 2, RADIANT = 4 };
static const uint32_t NONE = 0xFFFFFFFFu;

typedef struct {
    int64_t n, boundaries, lanes, links, linear, fixed, fixed_entries, entries, sources, varying, p_boundary, p_source;
    int64_t columns, groups, steps, substeps, passes;
    const uint32_t *link_a, *link_b, *link_entry, *link_group, *near_node, *near_entry, *pair_entry, *source_node;
    const uint32_t *vary;
    const int64_t *link_shape, *near_start, *pair_start, *column;
    const double *link_sign, *offset, *factor, *capacity, *table;
    double *temperature, *flow;
} Plan;

static inline double cube_root(double x) {
    int64_t bits;
    memcpy(&bits, &x, 8);
    int64_t third = ((((bits >> 32) * 1431655766) >> 32) + 715094163) << 32;
    double y;
    memcpy(&y, &third, 8);
    for (int i = 0; i < 2; i++) {
        double cube = y * y * y;
        y = y * (cube + 2.0 * x) / (2.0 * cube + x + 1e-300);
    }
    return y;
}

static void enter(const Plan *p, int64_t first, int64_t last, const double *now, const double *temps, double *gs,
                  double *diagonal, double *off, double *right) {
    const int64_t L = p->lanes;
    for (int64_t k = first; k < last; k++) {
        uint32_t a = p->link_a[k], b = p->link_b[k], e = p->link_entry[k];
        int64_t shape = p->link_shape[k];
        row g = gs + k * L;
        read_row ta = temps + a * L, tb = temps + b * L, g0 = now + 4 * k * L;
        read_row up = g0 + L, down = g0 + 2 * L, rays = g0 + 3 * L;
        for (int64_t l = 0; l < L; l++) g[l] = g0[l];
        if (shape & (BUOYANT | ROOT_SQUARE)) {
            for (int64_t l = 0; l < L; l++) {
                double d = ta[l] - tb[l], far = fabs(d), u = up[l], v = down[l];
                double natural = (d > 0.0 ? u : v) * cube_root(far > 1e-30 ? far : 1e-30);
                double larger = natural > g[l] ? natural : g[l], root = sqrt(g[l] * g[l] + natural * natural);
                g[l] = shape & BUOYANT ? larger : root;
            }
        }
        if (shape & RADIANT)
            for (int64_t l = 0; l < L; l++) {
                double ka = ta[l] + 273.15, kb = tb[l] + 273.15;
                g[l] += rays[l] * (ka * ka + kb * kb) * (ka + kb);
            }
        if (e != NONE) {
            row da = diagonal + a * L, db = diagonal + b * L, o = off + e * L;
            for (int64_t l = 0; l < L; l++) da[l] += g[l], db[l] += g[l], o[l] -= g[l];
        } else if (a < p->n) {
            row da = diagonal + a * L, ra = right + a * L;
            for (int64_t l = 0; l < L; l++) da[l] += g[l], ra[l] += g[l] * tb[l];
        }
    }
}

static void eliminate(const Plan *p, int64_t first, int64_t last, double *diagonal, double *off, double *right,
                      double *weights) {
    const int64_t L = p->lanes;
    for (int64_t v = first; v < last; v++) {
        row dv = diagonal + v * L, rv = right + v * L;
        int64_t pair = p->pair_start[v], end = p->near_start[v + 1];
        for (int64_t l = 0; l < L; l++) dv[l] = 1.0 / dv[l];
        for (int64_t i = p->near_start[v]; i < end; i++) {
            row w = weights + i * L, o = off + p->near_entry[i] * L;
            row dq = diagonal + p->near_node[i] * L, rq = right + p->near_node[i] * L;
            for (int64_t l = 0; l < L; l++) {
                w[l] = o[l] * dv[l];
                dq[l] -= w[l] * o[l];
                rq[l] -= w[l] * rv[l];
            }
            for (int64_t j = i + 1; j < end; j++) {
                row to = off + p->pair_entry[pair++] * L, f = off + p->near_entry[j] * L;
                for (int64_t l = 0; l < L; l++) to[l] -= w[l] * f[l];
            }
        }
    }
}

static void substitute(const Plan *p, int64_t first, int64_t last, const double *inverse, const double *weights,
                       const double *right, double *out) {
    const int64_t L = p->lanes;
    for (int64_t v = last - 1; v >= first; v--) {
        row o = out + v * L;
        read_row r = right + v * L, d = inverse + v * L;
        for (int64_t l = 0; l < L; l++) o[l] = r[l] * d[l];
        for (int64_t i = p->near_start[v]; i < p->near_start[v + 1]; i++) {
            read_row w = weights + i * L, q = out + p->near_node[i] * L;
            for (int64_t l = 0; l < L; l++) o[l] -= w[l] * q[l];
        }
    }
}

static void book(const Plan *p, int64_t first, int64_t last, const double *gs, const double *temps, double *flow) {
    const int64_t L = p->lanes;
    for (int64_t k = first; k < last; k++) {
        row f = flow + p->link_group[k] * L;
        read_row g = gs + k * L, ta = temps + p->link_a[k] * L, tb = temps + p->link_b[k] * L;
        double scale = p->link_sign[k] / p->substeps;
        for (int64_t l = 0; l < L; l++) f[l] += scale * (g[l] * (ta[l] - tb[l]));
    }
}

void march(const Plan *p, double step) {
    const int64_t L = p->lanes, n = p->n, all = n + p->boundaries, parameters = p->p_source + p->sources;
    const size_t size = sizeof(double) * L;
    const double rate = p->substeps / step;
    const int64_t near = p->near_start[n];
    double *now = malloc(size * parameters), *temps = calloc(all, size), *mean = malloc(size * all);
    double *g = malloc(size * p->links), *bd = malloc(size * n), *br = malloc(size * n), *d = malloc(size * n);
    double *r = malloc(size * n), *held = malloc(size * n), *bo = malloc(size * p->entries);
    double *o = malloc(size * p->entries), *bw = calloc(near + 1, size), *w = malloc(size * (near + 1));
    memcpy(now, p->offset, size * parameters);
    memcpy(temps, p->temperature, size * n);
    for (int64_t t = 0; t < p->steps; t++) {
        const double *line = p->table + t * p->columns;
        double *flow = p->flow + t * p->groups * L;
        for (int64_t i = 0; i < p->varying; i++) {
            int64_t m = p->vary[i] * L;
            for (int64_t l = m; l < m + L; l++) now[l] = p->offset[l] + p->factor[l] * line[p->column[l]];
        }
        memcpy(temps + n * L, now + p->p_boundary * L, size * p->boundaries);
        memset(bo, 0, size * p->entries);
        memset(br, 0, size * n);
        for (int64_t i = 0; i < n * L; i++) bd[i] = p->capacity[i] * rate;
        for (int64_t i = 0; i < p->sources; i++)
            for (int64_t l = 0; l < L; l++) br[p->source_node[i] * L + l] += now[(p->p_source + i) * L + l];
        enter(p, 0, p->linear, now, temps, g, bd, bo, br);
        eliminate(p, 0, p->fixed, bd, bo, r, bw);
        memcpy(d, bd, size * n);
        memcpy(w, bw, size * near);
        memset(mean, 0, size * all);
        for (int64_t s = 0; s < p->substeps; s++) {
            for (int64_t i = 0; i < n * L; i++) held[i] = br[i] + p->capacity[i] * rate * temps[i];
            for (int64_t v = 0; v < p->fixed; v++)
                for (int64_t i = p->near_start[v]; i < p->near_start[v + 1]; i++) {
                    row hq = held + p->near_node[i] * L, hv = held + v * L;
                    read_row wi = bw + i * L;
                    for (int64_t l = 0; l < L; l++) hq[l] -= wi[l] * hv[l];
                }
            for (int64_t pass = 0; pass < p->passes; pass++) {
                memcpy(d + p->fixed * L, bd + p->fixed * L, size * (n - p->fixed));
                memcpy(o + p->fixed_entries * L, bo + p->fixed_entries * L, size * (p->entries - p->fixed_entries));
                memcpy(r + p->fixed * L, held + p->fixed * L, size * (n - p->fixed));
                enter(p, p->linear, p->links, now, temps, g, d, o, r);
                eliminate(p, p->fixed, n, d, o, r, w);
                substitute(p, p->fixed, n, d, w, r, temps);
            }
            substitute(p, 0, p->fixed, d, w, held, temps);
            book(p, p->linear, p->links, g, temps, flow);
            for (int64_t i = 0; i < all * L; i++) mean[i] += temps[i];
        }
        book(p, 0, p->linear, g, mean, flow);
        memcpy(p->temperature + (t + 1) * n * L, temps, size * n);
    }
    free(now), free(temps), free(mean), free(g), free(bd), free(br), free(d), free(r), free(held);
    free(bo), free(o), free(bw), free(w);
}
