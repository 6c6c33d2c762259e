#!/usr/bin/python3
"""Writes an invented year of minute weather as CSV: time,ghi,dhi,dni,air,wind.

usage: minute_year.py [days]      days from 1 January 2025, 365 if not given

Spencer's sun, Haurwitz's clear sky and clouds that come and go by chance (seed
1). It is only something to read fast: nobody measured it.
"""
import sys
import numpy as np

days = int(sys.argv[1]) if len(sys.argv) > 1 else 365
rng = np.random.default_rng(1)
n = days * 1440
minute = np.arange(n)
day = minute // 1440
g = 2 * np.pi * (minute / 1440) / 365
dec = (0.006918 - 0.399912 * np.cos(g) + 0.070257 * np.sin(g)
       - 0.006758 * np.cos(2 * g) + 0.000907 * np.sin(2 * g))
eot = 229.18 * (0.0000075 + 0.001868 * np.cos(g) - 0.032077 * np.sin(g)
                - 0.014615 * np.cos(2 * g) - 0.040849 * np.sin(2 * g))
lat, lon = np.radians(52.28), -3.62
w = np.radians((minute % 1440 + 0.5 + 4 * lon + eot) / 4 - 180)
up = np.sin(lat) * np.sin(dec) + np.cos(lat) * np.cos(dec) * np.cos(w)
up = np.maximum(up, 0)
clear = np.where(up > 0, 1098 * up * np.exp(-0.059 / np.maximum(up, 1e-3)), 0)
cloudy = np.repeat(rng.random(n // 8 + 1) < np.repeat(rng.random(days * 180 // 8 + 2), 8)[: n // 8 + 1], 8)[:n]
beam = np.where(cloudy, 0, 0.8 * clear / np.maximum(up, 0.05))
dhi = clear * np.where(cloudy, 0.35, 0.2)
ghi = beam * up + dhi
air = 10 - 7 * np.cos(2 * np.pi * (day - 20) / 365) - 3 * np.cos(2 * np.pi * (minute % 1440 - 180) / 1440)
out = sys.stdout
out.write("time,ghi,dhi,dni,air,wind\n")
stamps = np.datetime_as_string(np.datetime64("2025-01-01T00:00") + minute.astype("timedelta64[m]"), unit="m")
for i in range(n):
    out.write("%s:00Z,%.1f,%.1f,%.1f,%.1f,2.0\n" % (stamps[i], ghi[i], dhi[i], beam[i], air[i]))
