/* The model of internal/kinetics at one temperature, as deSolve calls it: nitrogen, active
   cells, sugar; with its lag and its limit, so that both sides do the same work. */
#include <R.h>

static double p[11];
#define growth p[0]
#define growthHalf p[1]
#define cellsPerNitrogen p[2]
#define use p[3]
#define useHalf p[4]
#define yield p[5]
#define damage p[6]
#define lag4 p[7]
#define limit p[8]
#define fullSugar p[9]

void init(void (*odeparms)(int *, double *)) {
	int n = 10;
	odeparms(&n, p);
}

void rates(int *neq, double *t, double *y, double *dy, double *out, int *ip) {
	double n = y[0] > 0 ? y[0] : 0, active = y[1], s = y[2] > 0 ? y[2] : 0;
	double e = yield * (fullSugar - s);
	double t4 = *t * *t * *t * *t, share = e / limit;
	share *= share;
	share *= share;
	double rest = 1 - share * share;
	double work = active * t4 / (lag4 + t4) * (rest > 0 ? rest : 0);
	double grown = work * growth * n / (growthHalf + n);
	dy[0] = -grown / cellsPerNitrogen;
	dy[1] = grown - damage * e * active;
	dy[2] = -work * use * s / (useHalf + s) / yield;
}
