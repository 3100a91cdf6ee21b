"""The forecast of benchmarks/forecast_bench.cc with numpy: all samples of a move at once.

Reads one JSON document from standard input (moves, table, settings) and prints one with the processor time it took and
what it found. Falls and bumps are looked for on 12 places along each move, which is coarser than the program's exact
arcs: a finer look takes longer still.
"""

import json
import sys
import time

import numpy as np

PLACES = 12


def distances(px, py, ax, ay, bx, by):
    """From points (any shape) to the nearest of the sides."""
    least = np.full(px.shape, np.inf)
    for a_x, a_y, b_x, b_y in zip(ax, ay, bx, by):
        dx, dy = b_x - a_x, b_y - a_y
        t = np.clip(((px - a_x) * dx + (py - a_y) * dy) / (dx * dx + dy * dy), 0.0, 1.0)
        np.minimum(least, (px - a_x - t * dx) ** 2 + (py - a_y - t * dy) ** 2, out=least)
    return np.sqrt(least)


def within(px, py, ax, ay, bx, by):
    inside = np.zeros(px.shape, bool)
    for a_x, a_y, b_x, b_y in zip(ax, ay, bx, by):
        if a_y == b_y:
            continue
        crosses = ((a_y > py) != (b_y > py)) & (px < a_x + (b_x - a_x) * (py - a_y) / (b_y - a_y))
        inside ^= crosses
    return inside


def sides_of(corners):
    c = np.array(corners, float)
    d = np.roll(c, -1, axis=0)
    return c[:, 0], c[:, 1], d[:, 0], d[:, 1]


def run(job):
    n = job["samples"]
    rng = np.random.default_rng(job["seed"])
    edge = sides_of(job["edge_mm"])
    x = job["start"][0] + job["start_sd_mm"] * rng.standard_normal(n)
    y = job["start"][1] + job["start_sd_mm"] * rng.standard_normal(n)
    h = job["start"][2] + job["start_heading_sd_rad"] * rng.standard_normal(n)
    constants = np.array(job["mean"]) + np.array(job["sd"]) * rng.standard_normal((n, len(job["mean"])))
    m0, gain, dead, lost, turn_gain, lost_turn = constants.T
    gain, turn_gain = np.exp(gain), np.exp(turn_gain)
    going = np.ones(n, bool)
    falls = bumps = 0
    clearance = []
    fractions = np.linspace(0.0, 1.0, PLACES)[:, None]
    for left, right, seconds in job["moves"]:
        if left == -right:
            way = np.zeros(n)
            turned = np.sign(right) * turn_gain * (abs(right) - dead) * np.maximum(seconds - lost_turn, 0.0)
            turned *= 1.0 + job["turn_ratio"] * rng.standard_normal(n)
        else:
            way = gain * (left - dead) * np.maximum(seconds - lost, 0.0)
            way *= 1.0 + job["distance_ratio"] * rng.standard_normal(n)
            turned = m0 / job["track_width_mm"] * way + job["curvature_per_mm"] * rng.standard_normal(n) * way
        part = fractions * turned
        small = np.abs(part) < 1e-9
        safe = np.where(small, 1.0, part)
        ahead = fractions * way * np.where(small, 1.0, np.sin(safe) / safe)
        aside = fractions * way * np.where(small, part / 2, (1 - np.cos(safe)) / safe)
        c, s = np.cos(h), np.sin(h)
        ox, oy = x + c * ahead - s * aside, y + s * ahead + c * aside
        cc, ss = np.cos(h + part), np.sin(h + part)
        near = np.full(n, np.inf)
        off = np.zeros((PLACES, n), bool)
        for px, py in job["contacts"]:
            qx, qy = ox + cc * px - ss * py, oy + ss * px + cc * py
            np.minimum(near, distances(qx, qy, *edge).min(axis=0), out=near)
            off |= ~within(qx, qy, *edge)
        hit = np.zeros((PLACES, n), bool)
        for thing in job["obstacles"]:
            if "centre" in thing:
                gap = np.hypot(ox - thing["centre"][0], oy - thing["centre"][1]) - thing["radius"]
            else:
                gap = distances(ox, oy, *sides_of(thing["polygon"]))
            hit |= gap < job["reach_mm"]
        clearance.append(float(np.quantile(near[going], 0.05)) if going.any() else 0.0)
        first_off = np.where(off.any(axis=0), off.argmax(axis=0), PLACES)
        first_hit = np.where(hit.any(axis=0), hit.argmax(axis=0), PLACES)
        fell, bumped = going & (first_off < PLACES) & (first_off <= first_hit), going & (first_hit < first_off)
        falls += int(fell.sum())
        bumps += int(bumped.sum())
        going &= ~(fell | bumped)
        x, y, h = ox[-1], oy[-1], h + turned
    return {"falls": falls / n, "bumps": bumps / n, "clearance_mm": clearance}


job = json.load(sys.stdin)
best = float("inf")
for _ in range(job["repeats"]):
    begun = time.process_time()
    found = run(job)
    best = min(best, time.process_time() - begun)
print(json.dumps({"ms": 1e3 * best, "numpy": np.__version__, **found}))
