"""Times light on one tilted plane after Perez et al. 1990 (Solar Energy
44:271), vectorised with numpy: beam, sky and ground, without glass and
skyline, from directions of the sun, beam and diffuse light that are there. The
fastest of nine runs over the daylight minutes of a year. Prints "numpy_perez"
and nanoseconds a step.
"""

import time

import numpy as np

STEPS = 262144
# Pieces that stay in the processor's cache, numpy's best case.
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


def sample():
    """A year's worth of days between two heights of the sun."""
    chance = np.random.default_rng(1)
    zenith = np.radians(30 + 59 * chance.random(STEPS))
    azimuth = np.radians(90 + 180 * chance.random(STEPS))
    up, flat = np.cos(zenith), np.sin(zenith)
    mass = 1 / (up + 0.50572 * (96.07995 - np.degrees(zenith)) ** -1.6364)
    dni, dhi = 900 * chance.random(STEPS), 20 + 300 * chance.random(STEPS)
    return flat * np.sin(azimuth), flat * np.cos(azimuth), up, zenith, mass, dni, dhi


def run(columns):
    total = 0.0
    for begin in range(0, STEPS, PIECE):
        total += plane(*(c[begin:begin + PIECE] for c in columns)).sum()
    return total


columns = sample()
fastest = float("inf")
for _ in range(9):
    begin = time.perf_counter_ns()
    run(columns)
    fastest = min(fastest, time.perf_counter_ns() - begin)
print("numpy_perez", fastest / STEPS)
