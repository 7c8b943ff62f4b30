"""What lies on board number `seed`, how it is lit and seen: all at random by the seed."""
import math
import random
from dataclasses import dataclass, field

import numpy as np
from skimage.color import deltaE_ciede2000, rgb2lab

import shapes

BOARDS = {"white": (.8, .8, .78), "light gray": (.5, .5, .5), "dark gray": (.17, .17, .175), "black": (.035, .035, .036),
          "blue": (.07, .17, .42), "green": (.09, .3, .13), "wood": (.5, .32, .17), "cork": (.42, .27, .15)}
LIGHTS = ("sun", "lamp", "window", "two", "dome")
# Usual plastics, as linear reflectances.
PLASTICS = ((.02, .02, .022), (.75, .75, .72), (.07, .09, .02), (.12, .16, .03), (.02, .04, .2), (.05, .02, .09), (.45, .6, .04),
            (.7, .25, .02), (.5, .03, .03), (.13, .06, .025), (.65, .25, .3), (.2, .2, .21), (.1, .4, .5), (.3, .22, .1),
            (.55, .5, .35), (.03, .2, .1), (.28, .05, .2), (.7, .55, .05), (.4, .38, .42), (.16, .1, .05))


def coded(linear):
    v = np.clip(np.asarray(linear, float), 0, 1)
    return np.where(v <= .0031308, 12.92 * v, 1.055 * v ** (1 / 2.4) - .055)


def apart(p, q):
    a, b = (rgb2lab(coded(c).reshape(1, 1, 3))[0, 0] for c in (p, q))
    return float(deltaE_ciede2000(a, b))


@dataclass
class View:
    """A camera over the middle of the board, leaning by `tilt`, that sees `wide` mm of it across."""
    width: int
    height: int
    wide: float
    far: float  # distance, in widths
    tilt: float
    way: float  # where to it leans
    roll: float = 0

    def __post_init__(self):
        away = self.far * self.wide
        lean = np.array([math.cos(self.way), math.sin(self.way), 0]) * math.sin(self.tilt)
        self.place = away * (lean + np.array([0, 0, math.cos(self.tilt)]))
        self.look = -self.place / away
        right = np.array([math.cos(self.roll), math.sin(self.roll), 0])
        right -= self.look * right.dot(self.look)
        self.right = right / np.linalg.norm(right)
        self.down = np.cross(self.look, self.right) * -1
        if self.down[1] < 0:
            self.down = -self.down

    def project(self, points):
        """Places in the photo, a pixel's center at whole coordinates."""
        d = np.asarray(points, float) - self.place
        depth = d @ self.look
        u, v = d @ self.right / depth * self.far, d @ self.down / depth * self.far
        return np.stack([(u + .5) * self.width - .5, v * self.width + .5 * self.height - .5], -1)


@dataclass
class Scene:
    seed: int
    view: View
    board: str
    light: str
    baits: list
    card: tuple  # x, y, angle, mm from patch to patch; or None
    camera: dict
    scale: int  # photo pixels per rendered one, along a side
    words: list = field(default_factory=list)

    def card_corners(self):
        x, y, angle, pitch = self.card
        c, s = math.cos(angle), math.sin(angle)
        at = [(x + pitch * (c * u - s * v), y + pitch * (s * u + c * v), 1.2)
              for u, v in ((-2.5, -1.5), (2.5, -1.5), (2.5, 1.5), (-2.5, 1.5))]
        return self.view.project(np.array(at)).ravel()


def plastic(dice):
    if dice.random() < .25:
        return tuple(dice.uniform(.1, .9) ** 2.2 for _ in range(3))
    return tuple(min(max(c * dice.uniform(.7, 1.35), .012), .85) for c in dice.choice(PLASTICS))


def colors_choose(bait, n, ground, dice):
    """Layers that differ from each other by CIEDE2000 10, a few by 7 only, and from every color of the board by 12."""
    least = 7 if dice.random() < .12 else 10
    for _ in range(n):
        for _ in range(500):
            color = plastic(dice)
            if min(apart(color, g) for g in ground) > 12 and \
                    (not bait.colors or apart(color, bait.colors[-1]) > least):
                break
        bait.colors.append(color)
    if any(apart(p, q) < 12 for p, q in zip(bait.colors, bait.colors[1:])):
        bait.words.append("alike")


def borders_draw(bait, n, dice):
    least = .12 if n > 3 else .14
    cuts = [0, 1]
    while min(b - a for a, b in zip(cuts, cuts[1:])) < least or len(cuts) < n + 1:
        cuts = [0] + sorted(dice.uniform(.1, .9) for _ in range(n - 1)) + [1]
    bait.borders, bait.blends = cuts[1:-1], []
    for k in range(1, n):
        most = .45 * min(cuts[k] - cuts[k - 1], cuts[k + 1] - cuts[k])
        bait.blends.append(min(dice.uniform(.01, .18), most))
    bait.form = dice.choice(("smooth", "straight", "tailed"))
    bait.slope = dice.choice((0, 0, dice.uniform(-.08, .08)))
    bait.wave = (dice.uniform(0, .02), dice.uniform(1, 5), dice.uniform(0, 6))


def borders_choose(bait, n, view, dice):
    """Borders so that no layer looks thinner than a tenth of the height to the camera, which sees more of one side; how
    many layers."""
    while True:
        for _ in range(30):
            borders_draw(bait, n, dice)
            cuts = [0, *bait.shown_borders(view.project), 1]
            thin = min(b - a for a, b in zip(cuts, cuts[1:]))
            if n == 1 or thin >= .1:
                if thin < 1 / 7:
                    bait.words.append("thin layer")
                return n
        n -= 1


def finish_choose(bait, usual, dice):
    f = dict(usual)
    f["specular"] *= dice.uniform(.6, 1.2)
    if f["clear"] and dice.random() < .7:
        bait.words.append("see-through")
    else:
        f["clear"] = 0
    f["flake"] = dice.uniform(.02, .1) if dice.random() < .3 else 0
    if f["flake"]:
        bait.words.append("flake")
    if bait.body.rib[0]:
        bait.words.append("ribs")
    if abs(bait.body.bend) > .8:
        bait.words.append("bent")
    if f["specular"] > .25:
        bait.words.append("glossy")
    bait.finish = f


def is_free(spots, taken, gap):
    for other in taken:
        d = np.hypot(spots[:, None, 0] - other[None, :, 0], spots[:, None, 1] - other[None, :, 1])
        if (d - spots[:, None, 2] - other[None, :, 2]).min() < gap:
            return False
    return True


def is_in_view(view, spots, margin):
    p = view.project(np.concatenate([spots[:, :2], np.zeros((len(spots), 1))], 1))
    room = margin * view.width + spots[:, 2] / view.wide * view.width * 1.2
    return bool(((p[:, 0] > room) & (p[:, 0] < view.width - room) & (p[:, 1] > room) & (p[:, 1] < view.height - room)).all())


def card_lay(view, taken, dice):
    for _ in range(200):
        pitch = dice.uniform(.032, .05) * view.wide
        reach = view.wide * max(1, view.height / view.width)
        at = (dice.uniform(-.5, .5) * reach, dice.uniform(-.5, .5) * reach)
        angle = dice.choice((dice.uniform(-.25, .25), dice.uniform(0, 2 * math.pi)))
        c, s = math.cos(angle), math.sin(angle)
        grid = [(at[0] + pitch * (c * u - s * v), at[1] + pitch * (s * u + c * v), .75 * pitch)
                for u in np.linspace(-2.6, 2.6, 6) for v in (-1.6, -.5, .5, 1.6)]
        if is_in_view(view, np.array(grid), .005):
            taken.append(np.array(grid))
            return at[0], at[1], angle, pitch
    return None


def bait_lay(view, taken, make, gap, dice):
    """A bait where there is room for it, or None."""
    reach = view.wide * max(1, view.height / view.width)
    for _ in range(60):
        bait = make((dice.uniform(-.5, .5) * reach, dice.uniform(-.5, .5) * reach))
        spots = shapes.spots(bait)
        if is_in_view(view, spots, .012) and is_free(spots, taken, gap):
            taken.append(spots)
            return bait
    return None


def baits_lay(view, taken, want, dice):
    """So many baits of one kind or several, smaller ones where they find no room."""
    kinds, size, baits = list(shapes.SIZES), dice.uniform(.75, 1.3), []
    one, many = dice.choice(kinds), dice.random() < .35
    around, alike, touching = dice.uniform(0, 2 * math.pi), dice.random() < .5, dice.random() < .12

    def make(at):
        angle = around + dice.uniform(-.2, .2) if alike else dice.uniform(0, 2 * math.pi)
        return shapes.bait_make(dice.choice(kinds) if many else one, size, at, angle, dice)

    while len(baits) < want and size > .3:
        bait = bait_lay(view, taken, make, -.3 if touching and len(baits) % 3 == 1 else dice.uniform(1.5, 7), dice)
        if bait:
            baits.append(bait)
        elif len(baits) >= 6:
            break
        else:
            size *= .85
    return baits


def baits_finish(view, baits, ground, dice):
    """Layers and surfaces, alike on most boards."""
    number = dice.choice((0, 1, 2, 2, 3, 3, 4))
    # As much gloss as a surface has that mirrors 4%: .04 (n + 8) / 8 is the top of Blinn's lobe of exponent n.
    power = math.exp(dice.uniform(math.log(16), math.log(500)))
    usual = {"specular": dice.choice((0, .5, 1, 1.3)) * min(.04 * (power + 8) / 8, 1), "roughness": 1 / power,
             "mirror": dice.choice((0, 0, .03, .06)), "bumps": dice.choice((0, dice.uniform(.03, .15))),
             "clear": dice.choice((0, 0, dice.uniform(.1, .4)))}
    for bait in baits:
        n = number if number and dice.random() < .8 else dice.choice((1, 2, 2, 3, 3, 4))
        colors_choose(bait, borders_choose(bait, n, view, dice), ground, dice)
        finish_choose(bait, usual, dice)


def scene_make(seed):
    dice = random.Random(seed * 7919 + 5)
    width, scale = dice.choice(((1600, 1), (1600, 1), (1600, 1), (1600, 1), (2400, 2), (2400, 2), (3200, 2), (4000, 2)))
    short = width * 3 // 4
    upright = dice.random() < .2
    size = (short, width) if upright else (width, short)
    tilt = math.radians(dice.uniform(0, 7) if dice.random() < .65 else dice.uniform(7, 25))
    view = View(*size, wide=dice.uniform(150, 300) * (size[0] / width), far=dice.uniform(1, 1.9), tilt=tilt,
                way=dice.uniform(0, 2 * math.pi))
    board, light = dice.choice(list(BOARDS)), LIGHTS[seed % len(LIGHTS)]
    ground = [BOARDS[board]]
    if board in ("wood", "cork"):
        ground += [tuple(c * f for c in BOARDS[board]) for f in (.6, .8, 1.25)]
    taken = []
    card = card_lay(view, taken, dice) if dice.random() < .7 else None
    baits = baits_lay(view, taken, dice.randint(1, 2) if dice.random() < .12 else dice.randint(4, 12), dice)
    baits_finish(view, baits, ground, dice)
    camera = {"quality": dice.randint(60, 95), "full_color": dice.random() < .3, "blur": dice.uniform(.6, 1.3),
              "sharpen": dice.choice((0, 0, dice.uniform(.2, .8))),
              "electrons": math.exp(dice.uniform(math.log(900), math.log(9000))),
              "exposure": dice.uniform(.7, 1), "balance": [dice.uniform(.85, 1.15), 1, dice.uniform(.85, 1.15)],
              "crosstalk": dice.uniform(0, .15), "vignette": dice.uniform(0, .2)}
    return Scene(seed, view, board, light, baits, card, camera, scale)
