"""Where other programs see the sun: every third hour of 2020 at the latitudes
and longitudes given as arguments (lat,lon ...), without air, and delta T as
measured. Writes CSV."""

import sys

import ephem
import erfa
import numpy as np
import astropy.units as u
from astropy.coordinates import AltAz, EarthLocation, get_sun
from astropy.time import Time
from astropy.utils import iers

iers.conf.auto_download = False
iers.conf.auto_max_age = None
iers.earth_orientation_table.set(iers.IERS_B.open())

START, STEPS, PER_DAY = 2458849.5, 366 * 8, 8


def rows(program, lat, lon, jd, delta_t, azimuth, elevation):
    for values in zip(jd, delta_t, azimuth, elevation):
        print(program, lat, lon, *("%.10f" % v for v in values), sep=",")


def by_ephem(lat, lon):
    o = ephem.Observer()
    o.lat, o.lon, o.elevation, o.pressure = np.radians(lat), np.radians(lon), 0, 0
    out = []
    for i in range(STEPS):
        o.date = START + i / PER_DAY - 2415020
        s = ephem.Sun(o)
        out.append((o.date + 2415020, ephem.delta_t(o.date), np.degrees(s.az), np.degrees(s.alt)))
    rows("ephem", lat, lon, *zip(*out))


def times():
    t = Time(START, np.arange(STEPS) / PER_DAY, format="jd", scale="utc")
    delta_t = ((t.tt.jd1 - t.ut1.jd1) + (t.tt.jd2 - t.ut1.jd2)) * 86400
    return t, t.ut1.jd1 + t.ut1.jd2, delta_t


def by_astropy(lat, lon):
    t, jd, delta_t = times()
    spot = EarthLocation.from_geodetic(lon * u.deg, lat * u.deg, 0 * u.m)
    s = get_sun(t).transform_to(AltAz(obstime=t, location=spot, pressure=0 * u.hPa))
    rows("astropy", lat, lon, jd, delta_t, s.az.deg, s.alt.deg)


def by_erfa(lat, lon):
    """Earth from epv00, light time, aberration, IAU 2006/2000A, parallax."""
    t, jd, delta_t = times()
    tt, ut = t.tt, t.ut1
    helio, bary = erfa.epv00(tt.jd1, tt.jd2)
    distance = np.linalg.norm(helio["p"], axis=1)
    # The sun as it was when its light left it (it hardly moves meanwhile).
    sun = -helio["p"]
    late = distance * 499.004782 / 86400
    sun -= (bary["v"] - helio["v"]) * late[:, None]
    toward = sun / np.linalg.norm(sun, axis=1)[:, None]
    beta = bary["v"] * 499.004782 / 86400
    gamma = np.sqrt(1 - (beta**2).sum(axis=1))
    seen = erfa.ab(toward, beta, distance, gamma)
    of_date = erfa.rxp(erfa.pnm06a(tt.jd1, tt.jd2), seen) * distance[:, None]
    gast = erfa.gst06a(ut.jd1, ut.jd2, tt.jd1, tt.jd2)
    earth = erfa.gd2gc(1, np.radians(lon), np.radians(lat), 0) / 149597870700
    fixed = erfa.rxp(erfa.rz(gast, np.broadcast_to(np.eye(3), (STEPS, 3, 3))), of_date) - earth
    longitude, declination = erfa.c2s(fixed)
    azimuth, elevation = erfa.hd2ae(np.radians(lon) - longitude, declination, np.radians(lat))
    rows("erfa", lat, lon, jd, delta_t, np.degrees(azimuth), np.degrees(elevation))


def measured():
    for year in range(1975, 2023, 5):
        t = Time("%d-01-01" % year, scale="utc")
        delta_t = ((t.tt.jd1 - t.ut1.jd1) + (t.tt.jd2 - t.ut1.jd2)) * 86400
        rows("measured", year, 0, [t.ut1.jd], [delta_t], [0], [0])


print("program,lat_deg,lon_deg,jd,delta_t_s,azimuth_deg,elevation_deg")
measured()
for pair in sys.argv[1:]:
    lat, lon = (float(x) for x in pair.split(","))
    for program in by_ephem, by_astropy, by_erfa:
        program(lat, lon)
