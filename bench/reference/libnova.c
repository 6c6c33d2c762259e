/* Times libnova (Debian's libnova-dev): the sun's azimuth and elevation every
 * twelfth minute of 2026, the fastest of three years. Prints "libnova" and
 * nanoseconds a position.
 *
 *   gcc -O2 -o libnova libnova.c -lnova -lm
 */
#include <libnova/solar.h>
#include <libnova/transform.h>
#include <stdio.h>
#include <time.h>

enum { POSITIONS = 365 * 120 };

static double now_ns(void)
{
	struct timespec t;
	clock_gettime(CLOCK_MONOTONIC, &t);
	return t.tv_sec * 1e9 + t.tv_nsec;
}

int main(void)
{
	struct ln_lnlat_posn spot = {.lng = -3.62, .lat = 52.28};
	double fastest = 1e300, sum = 0;
	for (int year = 0; year < 3; year++) {
		double begin = now_ns();
		for (int i = 0; i < POSITIONS; i++) {
			double jd = 2461041.5 + i / 120.0;
			struct ln_equ_posn among_stars;
			struct ln_hrz_posn over_horizon;
			ln_get_solar_equ_coords(jd, &among_stars);
			ln_get_hrz_from_equ(&among_stars, &spot, jd, &over_horizon);
			sum += over_horizon.az + over_horizon.alt; /* so that nothing is left out */
		}
		double took = (now_ns() - begin) / POSITIONS;
		if (took < fastest)
			fastest = took;
	}
	fprintf(stderr, "sum %g\n", sum);
	printf("libnova %.1f\n", fastest);
	return 0;
}
