"""Times light on one tilted plane after Perez et al. 1990 (Solar Energy
44:271), vectorised with numpy: from the sun's zenith angle and azimuth, beam
and diffuse light to beam, sky and ground on the plane, without glass and
skyline. Prints nanoseconds a step, the fastest of nine runs over the daylight
minutes of a year: "numpy_perez" with a year to an array, as such code is
written, "numpy_perez_in_cache" in pieces that stay in the processor's cache,
and "numpy_perez_sun_ready" the same with the air mass and the sun's direction
there already.
"""

import time

import numpy as np

STEPS = 262144
PIECE = 4096

F = np.array([
    [-0.008, 0.588, -0.062, -0.060, 0.072, -0.022],
    [0.130, 0.683, -0.151, -0.019, 0.066, -0.029],
    [0.330, 0.487, -0.221, 0.055, -0.064, -0.026],
    [0.568, 0.187, -0.295, 0.109, -0.152, -0.014],
    [0.873, -0.392, -0.362, 0.226, -0.462, 0.001],
    [1.132, -1.237, -0.412, 0.288, -0.823, 0.056],
    [1.060, -1.600, -0.359, 0.264, -1.127, 0.131],
    [0.678, -0.327, -0.250, 0.156, -1.377, 0.251],
])
ENDS = np.array([1.065, 1.23, 1.5, 1.95, 2.8, 4.5, 6.2])
TILT, HEADING, ALBEDO, EXTRA = np.radians(40), np.radians(180), 0.2, 1361.0


def plane(east, north, up, zenith, mass, dni, dhi):
    """W/m2 on the plane."""
    cube = 1.041 * zenith**3
    clearness = ((dhi + dni) / dhi + cube) / (1 + cube)
    brightness = dhi * mass / EXTRA
    f = F[np.searchsorted(ENDS, clearness, side="right")]
    f1 = np.maximum(0, f[:, 0] + f[:, 1] * brightness + f[:, 2] * zenith)
    f2 = f[:, 3] + f[:, 4] * brightness + f[:, 5] * zenith
    facing = np.sin(TILT) * (np.sin(HEADING) * east + np.cos(HEADING) * north) + np.cos(TILT) * up
    facing = np.maximum(0, facing)
    around = facing / np.maximum(np.cos(np.radians(85)), up)
    even = (1 - f1) * (1 + np.cos(TILT)) / 2
    sky = np.maximum(0, dhi * (even + f1 * around + f2 * np.sin(TILT)))
    ground = ALBEDO * (dni * up + dhi) * (1 - np.cos(TILT)) / 2
    return dni * facing + sky + ground


def direction(zenith, azimuth):
    """East, north, up, zenith and the air mass after Kasten & Young 1989."""
    up, level = np.cos(zenith), np.sin(zenith)
    mass = 1 / (up + 0.50572 * (96.07995 - np.degrees(zenith)) ** -1.6364)
    return level * np.sin(azimuth), level * np.cos(azimuth), up, zenith, mass


def fastest(work, columns, piece):
    """Nanoseconds a step of work on columns, a piece at a time."""
    best = float("inf")
    for _ in range(9):
        begin = time.perf_counter_ns()
        for i in range(0, STEPS, piece):
            work(*(c[i:i + piece] for c in columns))
        best = min(best, time.perf_counter_ns() - begin)
    return best / STEPS


def from_angles(zenith, azimuth, dni, dhi):
    return plane(*direction(zenith, azimuth), dni, dhi)


chance = np.random.default_rng(1)
zenith = np.radians(30 + 59 * chance.random(STEPS))
azimuth = np.radians(90 + 180 * chance.random(STEPS))
light = (900 * chance.random(STEPS), 20 + 300 * chance.random(STEPS))
print("numpy_perez %.1f" % fastest(from_angles, (zenith, azimuth, *light), STEPS))
print("numpy_perez_in_cache %.1f" % fastest(from_angles, (zenith, azimuth, *light), PIECE))
print("numpy_perez_sun_ready %.1f" % fastest(plane, (*direction(zenith, azimuth), *light), PIECE))
