"""Round bodies of soft-plastic baits as triangle meshes, each vertex with its place along the body and across its layers.

A bait lies on its side on the board z = 0; x to the right, y down in the photo, z to the camera; mm and radians. The
body is a bent tube of elliptic sections; tails, claws and legs are tubes of their own.
"""
from dataclasses import dataclass, field

import numpy as np

RING = 24
# Half widths at equal steps from head to tail, as shares of the largest.
PROFILES = {
    "stick": (.62, .86, .96, 1, 1, .99, .97, .95, .92, .86, .66),
    "worm": (.55, .84, .97, 1, .96, .9, .82, .72, .6, .46, .3),
    "ribbed": (.6, .9, 1, .99, .96, .92, .86, .8, .72, .62, .46),
    "swimbait": (.5, .82, .97, 1, .96, .87, .74, .6, .47, .37, .3),
    "minnow": (.36, .7, .9, .99, 1, .95, .84, .69, .52, .37, .27),
    "grub": (.66, .95, 1, .96, .9, .83, .75, .66, .57, .48, .38),
    "crawfish": (.5, .78, .94, 1, .97, .92, .88, .83, .76, .65, .45),
}
# Length, half width: usual ones in mm; thickness: of the width.
SIZES = {"stick": (110, 5, 1), "worm": (130, 4.6, .95), "ribbed": (105, 5.4, .9), "swimbait": (85, 9, .75),
         "minnow": (80, 9.5, .6), "grub": (45, 6.5, .95), "crawfish": (58, 8.5, .75)}
BENT = {"stick": .7, "worm": 2, "ribbed": 1, "swimbait": .35, "minnow": .25, "grub": .3, "crawfish": .3}


@dataclass
class Tube:
    """A bent tube: its axis is an arc with a sway; half widths run over its length."""
    length: float
    halves: tuple
    thick: float
    bend: float = 0
    sway: float = 0
    at: tuple = (0, 0)  # where its middle is, and its direction there
    angle: float = 0
    rib: tuple = (0, 1)  # depth as a share, mm from one to the next
    square: float = 1  # exponent of its section: below 1 is boxier
    body: bool = True

    def axis(self, s):
        """Points and unit normals (to the belly's side) of the axis at shares s of the length."""
        u = (np.asarray(s, float) - .5) * self.length
        curve = self.bend / self.length
        turn = self.angle + curve * u + self.sway * np.sin(2 * np.pi * u / self.length)
        fine = np.linspace(-.75, .75, 301) * self.length
        heading = self.angle + curve * fine + self.sway * np.sin(2 * np.pi * fine / self.length)
        step = fine[1] - fine[0]
        x = np.concatenate([[0], np.cumsum((np.cos(heading[1:]) + np.cos(heading[:-1])) / 2 * step)])
        y = np.concatenate([[0], np.cumsum((np.sin(heading[1:]) + np.sin(heading[:-1])) / 2 * step)])
        px, py = (np.interp(u, fine, c - c[150]) for c in (x, y))
        return np.stack([self.at[0] + px, self.at[1] + py], -1), np.stack([-np.sin(turn), np.cos(turn)], -1)

    def half(self, s):
        s = np.asarray(s, float)
        knots = np.linspace(0, 1, len(self.halves))
        smooth = np.interp(s, np.linspace(0, 1, 201), np.convolve(np.pad(np.interp(
            np.linspace(0, 1, 201), knots, self.halves), 12, mode="edge"), np.hanning(27)[1:-1] / 13, "valid"))
        # Round ends: as long as the body is half wide there.
        for end, away in ((self.halves[0], s), (self.halves[-1], 1 - s)):
            share = np.clip(away * self.length / (1.1 * end), 0, 1)
            smooth = smooth * np.sqrt(np.maximum(1 - (1 - share) ** 2, 1e-4))
        return smooth

    def stations(self):
        """Shares of the length, close together at the ends."""
        n = max(90, int(self.length / self.rib[1] * 8)) if self.body else 20
        ends = (1 - np.cos(np.linspace(0, .5, 14 if self.body else 6))) * .25
        return np.unique(np.concatenate([np.linspace(0, 1, n), ends, 1 - ends]))

    def ring(self, s):
        """Points (stations, RING, 3) of the surface and how far across each is: -1 back to 1 belly."""
        half = self.half(s)[:, None]
        rib = 1 + self.rib[0] * np.cos(2 * np.pi * np.asarray(s)[:, None] * self.length / self.rib[1])
        angle = np.linspace(0, 2 * np.pi, RING, endpoint=False)[None, :]
        across = np.sign(np.cos(angle)) * np.abs(np.cos(angle)) ** self.square * np.ones_like(half)
        high = np.sign(np.sin(angle)) * np.abs(np.sin(angle)) ** self.square
        middle, normal = self.axis(s)
        flat = middle[:, None, :] + normal[:, None, :] * (across * half * (.5 + .5 * rib))[..., None]
        lift = self.thick * half * (1 + high * rib)
        return np.concatenate([flat, lift[..., None]], -1), across


@dataclass
class Bait:
    kind: str
    tubes: list
    flip: bool = False  # the back lies on the lower side of the axis
    slope: float = 0  # how far the borders move from head to tail
    wave: tuple = (0, 0, 0)  # of the borders: how far, times along, phase
    borders: list = field(default_factory=list)
    blends: list = field(default_factory=list)
    form: str = "smooth"
    colors: list = field(default_factory=list)  # linear RGB reflectances
    words: list = field(default_factory=list)  # what is difficult about it
    finish: dict = field(default_factory=dict)

    @property
    def body(self):
        return self.tubes[0]

    def shift(self, along):
        return self.slope * (along - .5) + self.wave[0] * np.sin(2 * np.pi * self.wave[1] * along + self.wave[2])

    def mesh(self, tube):
        """Vertices, normals, uv (along; across the layers) and faces of one tube."""
        s = tube.stations()
        points, across = tube.ring(s)
        sign = -1 if self.flip else 1
        v = np.clip((1 + sign * across) / 2 - self.shift(s)[:, None], 0, 1)
        uv = np.stack([np.repeat(s[:, None], RING, 1), v], -1)
        n, faces = len(s), []
        index = np.arange(n * RING).reshape(n, RING)
        for a, b, c in ((index[:-1], index[1:], np.roll(index, -1, 1)[:-1]),
                        (np.roll(index, -1, 1)[:-1], index[1:], np.roll(index, -1, 1)[1:])):
            faces.append(np.stack([a, b, c], -1).reshape(-1, 3))
        along = np.gradient(points, axis=0)
        around = np.roll(points, -1, 1) - np.roll(points, 1, 1)
        normals = np.cross(around, along)
        normals /= np.linalg.norm(normals, axis=-1, keepdims=True) + 1e-12
        return points.reshape(-1, 3), normals.reshape(-1, 3), uv.reshape(-1, 2), np.concatenate(faces)

    def weights(self, v):
        """Share of each layer (layers, places) at places v from back to belly."""
        rest, out = np.ones_like(v), []
        for border, blend in zip(self.borders, self.blends):
            u = np.clip((v - border) / blend, -1, 1)
            past = (u + 1) / 2
            if self.form == "smooth":
                past = past * past * (3 - 2 * past)
            elif self.form == "tailed":
                past = 1 / (1 + np.exp(-3.6 * (v - border) / blend))
            out.append(rest * (1 - past))
            rest = rest * past
        return np.stack(out + [rest])

    def shown_borders(self, project):
        """Where each border lies in the photo, as a share of the height that is seen, over the body's middle part."""
        s = np.linspace(.12, .86, 40)
        points, across = self.body.ring(s)
        pixels = project(points)
        middle, normal = self.body.axis(s)
        lift = (self.body.thick * self.body.half(s))[:, None]
        way = project(np.concatenate([middle + normal, lift], -1)) - project(np.concatenate([middle - normal, lift], -1))
        way /= np.linalg.norm(way, axis=-1, keepdims=True)
        place = np.einsum("skc,sc->sk", pixels, way)
        low, high = place.min(1), place.max(1)
        out = []
        for border in self.borders:
            v = np.clip(border + self.shift(s), .01, .99)
            o = (2 * v - 1) * (-1 if self.flip else 1)
            upper = slice(0, RING // 2 + 1)  # o falls from 1 to -1 along the upper half of the ring
            at = np.array([np.interp(-o[i], -across[i, upper], place[i, upper]) for i in range(len(s))])
            share = (at - low) / (high - low)
            out.append(float(np.mean(1 - share if self.flip else share)))
        return out


def limb(bait, s, o, turn, length, halves, thick, bend=0.):
    """A tube that begins at share s of the body's length, o half widths across, turned from the body's direction."""
    body = bait.body
    place, normal = body.axis([s])
    half = float(body.half(np.clip([s], .05, .95))[0])
    start = place[0] + normal[0] * o * half
    heading = np.arctan2(-normal[0][0], normal[0][1]) + turn
    tube = Tube(length, halves, thick, bend=bend, angle=heading + bend / 2, body=False)
    head, _ = tube.axis([0])
    tube.at = tuple(start - head[0])
    bait.tubes.append(tube)
    return tube


def follow(bait, before, turn, length, halves, thick, bend):
    """A tube that goes on where another ends."""
    end, normal = before.axis([.88])
    heading = np.arctan2(-normal[0][0], normal[0][1]) + turn
    tube = Tube(length, halves, thick, bend=bend, angle=heading + bend / 2, body=False)
    head, _ = tube.axis([0])
    tube.at = tuple(end[0] - head[0])
    bait.tubes.append(tube)
    return tube


def limbs_add(bait, dice):
    half, length, way = max(bait.body.halves), bait.body.length, dice.choice((-1, 1))
    if bait.kind == "swimbait":
        limb(bait, .92, 0, way * dice.uniform(.1, .5), half * 1.1, (half * .28, half * .3, half * .6), .7)
        follow(bait, bait.tubes[-1], way * dice.uniform(.2, .7), half * 1.5, (half * .6, half * .85, half * .5), .35, 0)
    if bait.kind == "minnow":
        for side in (-1, 1):
            limb(bait, .94, 0, side * dice.uniform(.45, .7), half * 1.5, (half * .22, half * .3, half * .12), .4, -side * .5)
    if bait.kind in ("grub", "ribbed") or bait.kind == "worm" and dice.random() < .3:
        wide = half * (.75 if bait.kind == "grub" else .6)
        limb(bait, .9, 0, way * dice.uniform(-.4, .1), length * dice.uniform(.55, .85),
             (bait.body.halves[-1] * .85, wide, wide, wide * .8, wide * .25), .25, way * dice.uniform(1.8, 3.4))
    if bait.kind == "crawfish":
        for side in (-1, 1):
            arm = limb(bait, .04, side * .6, np.pi - side * dice.uniform(.5, .8), length * .3, (half * .22, half * .2), .8,
                       side * dice.uniform(0, .6))
            follow(bait, arm, side * .2, length * dice.uniform(.32, .42), (half * .22, half * .5, half * .42, half * .12), .5,
                   side * .3)
            limb(bait, .02, side * .25, np.pi - side * dice.uniform(.1, .3), length * dice.uniform(.4, .7),
                 (half * .08, half * .05), .9, side * dice.uniform(-.4, .4))
            for s in (.28, .42, .56):
                limb(bait, s, side * .85, side * dice.uniform(1.3, 1.9), length * dice.uniform(.16, .24),
                     (half * .14, half * .07), .9, side * dice.uniform(0, .7))
        limb(bait, .95, 0, dice.uniform(-.1, .1), half * 1.1, (half * .5, half * .7, half * .5), .35)


def bait_make(kind, size, at, angle, dice):
    length, half, thick = SIZES[kind]
    half *= size * dice.uniform(.88, 1.12)
    body = Tube(length * size * dice.uniform(.9, 1.1), tuple(half * p for p in PROFILES[kind]), thick * dice.uniform(.85, 1.1),
                at=at, angle=angle, square=dice.uniform(.78, 1))
    if dice.random() < .5:
        body.bend = dice.uniform(-1, 1) * BENT[kind]
        body.sway = dice.uniform(-.25, .25) * BENT[kind]
    if kind == "ribbed" or kind == "stick" and dice.random() < .3:
        body.rib = (dice.uniform(.04, .13), dice.uniform(2.2, 4.2) * size)
    bait = Bait(kind, [body], flip=dice.random() < .5)
    limbs_add(bait, dice)
    return bait


def spots(bait):
    """Circles (x, y, radius) that cover the bait, to keep baits apart."""
    out = []
    for tube in bait.tubes:
        s = np.linspace(0, 1, max(4, int(tube.length / 4)))
        middle, _ = tube.axis(s)
        out.append(np.concatenate([middle, tube.half(np.clip(s, .05, .95))[:, None]], 1))
    return np.concatenate(out)
