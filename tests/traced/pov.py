"""A scene as POV-Ray reads it, and what is true of its photo.

The same scene is rendered twice: as a photo, and with DRAW_TRUTH, where every pixel's red is how far along the body it
lies, its green how far across the layers (both .1 to .9), and its blue 2 * bait (+ 1 on a limb), over 64.
"""
import math
import random

import numpy as np

from scene import BOARDS

# The 24 patches as CIELAB, D50, row by row from the dark brown corner (core/card/grid24.c has the source).
CARD_LAB = (
    (37.986, 13.555, 14.059), (65.711, 18.130, 17.810), (49.927, -4.880, -21.925), (43.139, -13.095, 21.905),
    (55.112, 8.844, -25.399), (70.719, -33.397, -0.199), (62.661, 36.067, 57.096), (40.020, 10.410, -45.964),
    (51.124, 48.239, 16.248), (30.325, 22.976, -21.587), (72.532, -23.709, 57.255), (71.941, 19.363, 67.857),
    (28.778, 14.179, -50.297), (55.261, -38.342, 31.370), (42.101, 53.378, 28.190), (81.733, 4.039, 79.819),
    (51.935, 49.986, -14.574), (51.038, -28.631, -28.638), (96.539, -0.425, 1.186), (81.257, -0.638, -0.335),
    (66.766, -0.734, -0.504), (50.867, -0.153, -0.270), (35.656, -0.421, -1.231), (20.461, -0.079, -0.973))
WEIGHTS = 64  # steps of a bait's layers from back to belly


def card_rgb(lab):
    """Linear sRGB of a CIELAB color of D50: Bradford's adaptation and sRGB's matrix (IEC 61966-2-1) in one."""
    fy = (lab[0] + 16) / 116
    f = (fy + lab[1] / 500, fy, fy - lab[2] / 200)
    xyz = [w * (v ** 3 if v > 6 / 29 else 3 * (6 / 29) ** 2 * (v - 4 / 29)) for w, v in zip((.9642, 1, .8249), f)]
    matrix = ((3.1338561, -1.6168667, -.4906146), (-.9787684, 1.9161415, .0334540), (.0719453, -.2289914, 1.4052427))
    return [max(0, sum(m * v for m, v in zip(row, xyz))) for row in matrix]


def mixed(colors, weights):
    """Plastics mix on a straight line in K/S (Kubelka and Munk): (places, 3) of weights (layers, places)."""
    r = np.clip(np.asarray(colors), .004, .96)
    q = np.einsum("lc,lp->pc", (1 - r) ** 2 / (2 * r), weights)
    return 1 + q - np.sqrt(q * q + 2 * q)


def v3(v):
    return "<%.9g,%.9g,%.9g>" % tuple(v)


def area(place, color, across, down, size=1, n=9):
    """A light with a face: n x n small ones where a shadow's edge lies, else four."""
    return (f"light_source {{ {v3(place)} rgb {v3(color)} area_light {v3(np.multiply(across, size))}, "
            f"{v3(np.multiply(down, size))}, {n}, {n} adaptive 0 }}\n")


def lamp(place, color, radius):
    away = np.array(place) / np.linalg.norm(place)
    across = np.cross(away, (0, 0, 1) if abs(away[2]) < .9 else (1, 0, 0))
    across /= np.linalg.norm(across)
    return area(place, color, across, np.cross(away, across), 2 * radius)


def from_above(dice, low, high):
    around, up = dice.uniform(0, 2 * math.pi), math.radians(dice.uniform(low, high))
    return np.array([math.cos(around) * math.cos(up), math.sin(around) * math.cos(up), math.sin(up)])


def sky(color, wide, high, n=9):
    return area((0, 0, high), color, (1, 0, 0), (0, 1, 0), wide, n)


def lights(scene):
    """The lights, and the color of what comes from all around; together about .3 on the board."""
    dice, wide = random.Random(scene.seed * 31 + 7), scene.view.wide
    warm = np.array([1, dice.uniform(.78, .96), dice.uniform(.5, .85)])
    cool = np.array([dice.uniform(.75, .95), dice.uniform(.88, .97), 1])
    if scene.light == "sun":
        fill = np.array([.55, .75, 1]) * dice.uniform(.05, .1)
        way = from_above(dice, 32, 68)
        return (f"light_source {{ {v3(way * 1e5)} rgb {v3(warm * .24 / way[2])} }}\n" + sky(fill, 4000, 1500, 4)), fill * .5
    if scene.light == "lamp":
        way = from_above(dice, 38, 72)
        place = way * dice.uniform(1.2, 3) * wide
        return lamp(place, warm * .26 / way[2], dice.uniform(.01, .05) * wide), warm * dice.uniform(.03, .09)
    if scene.light == "window":
        way = from_above(dice, 30, 55)
        place, across = way * 1500, np.array([-way[1], way[0], 0])
        return (area(place, cool * .24 / way[2], across / np.linalg.norm(across) * 900, (0, 0, 1100)),
                cool * dice.uniform(.04, .09))
    if scene.light == "two":
        text = ""
        for color in (warm, dice.choice((warm, cool))):
            way = from_above(dice, 30, 65)
            text += lamp(way * dice.uniform(1.5, 3) * wide, color * .13 / way[2], dice.uniform(.02, .12) * wide)
        return text, warm * dice.uniform(.03, .07)
    return sky(cool * .2, 2.5 * wide, 1.4 * wide), cool * dice.uniform(.06, .1)


def ground(scene):
    color, dice = np.array(BOARDS[scene.board]), random.Random(scene.seed * 17 + 3)
    if scene.board == "wood":
        grain = f"color_map {{ [0 rgb {v3(color * .72)}] [.5 rgb {v3(color)}] [1 rgb {v3(color * 1.12)}] }}"
        pigment = (f"average pigment_map {{ [1 wood turbulence .03 scale {dice.uniform(6, 14):.3f} {grain} rotate <0,90,0> "
                   f"translate <0,{dice.uniform(-40, 40):.1f},{dice.uniform(30, 90):.1f}>] [1 granite scale <220,6,6> {grain}] }} "
                   f"rotate <0,0,{dice.uniform(0, 180):.1f}>")
    elif scene.board == "cork":
        pigment = (f"granite scale {dice.uniform(6, 14):.3f} color_map {{ [0 rgb {v3(color * .68)}] [.35 rgb {v3(color * .95)}] "
                   f"[1 rgb {v3(color * 1.15)}] }}")
    else:
        grain = dice.uniform(.002, .03)
        pigment = (f"granite scale {dice.uniform(3, 40):.3f} color_map {{ [0 rgb {v3(color * (1 - grain))}] "
                   f"[1 rgb {v3(color * (1 + grain))}] }}")
    shine = dice.choice((0, 0, .04))
    return (f"plane {{ z, 0 pigment {{ {pigment} }} finish {{ diffuse 1 ambient AROUND specular {shine} roughness .08 }} }}\n")


def card(scene):
    x, y, angle, pitch = scene.card
    frame = .035 if scene.seed % 3 else .7
    text = f"box {{ <-3.35,-2.35,0>, <3.35,2.35,{1.15 / pitch:.5f}> pigment {{ rgb {frame} }} }}\n"
    for i, lab in enumerate(CARD_LAB):
        u, v = i % 6 - 2.5, i // 6 - 1.5
        text += (f"box {{ <{u - .44:.3f},{v - .44:.3f},0>, <{u + .44:.3f},{v + .44:.3f},{1.2 / pitch:.5f}> "
                 f"pigment {{ rgb {v3(card_rgb(lab))} }} }}\n")
    return (f"union {{ {text} finish {{ diffuse 1 ambient AROUND }} scale {pitch:.5f} rotate <0,0,{math.degrees(angle):.4f}> "
            f"translate <{x:.4f},{y:.4f},0> }}\n")


def bait_texture(bait, seed):
    f, v = bait.finish, np.linspace(0, 1, WEIGHTS + 1)
    colors = mixed(bait.colors, bait.weights(v))
    entries = " ".join(f"[{.1 + .8 * p:.5f} rgb {v3(c)} transmit {f['clear']:.3f}]" for p, c in zip(v, colors))
    finish = (f"finish {{ diffuse 1 ambient BESIDE specular {f['specular']:.3f} roughness {f['roughness']:.4f} "
              f"reflection {{ 0, {f['mirror']} fresnel on }} }}")
    bumps = f"normal {{ bumps {f['bumps']:.3f} scale 2.5 }}" if f["bumps"] else ""
    text = f"texture {{ pigment {{ uv_mapping gradient y color_map {{ {entries} }} }} {bumps} {finish} }}\n"
    if f["flake"]:
        dice = random.Random(seed)
        part, size = .5 - .28 * (1 - f["flake"] * 4), dice.uniform(.35, .8)
        color = dice.choice(((.02, .02, .02), (.8, .8, .75), (.6, .4, .1), (.5, .05, .05), (.05, .3, .1)))
        text += (f"texture {{ pigment {{ bozo scale {size:.3f} translate {dice.uniform(0, 50):.2f} color_map {{ [0 rgb {v3(color)}] "
                 f"[{part:.3f} rgb {v3(color)}] [{part:.3f} rgbt 1] [1 rgbt 1] }} }} "
                 f"finish {{ diffuse 1 ambient BESIDE specular {f['specular']:.3f} roughness {f['roughness']:.4f} }} }}\n")
    return text + "interior { ior 1.45 }\n" if f["mirror"] else text


def truth_texture(index, is_body):
    along = "gradient x color_map { [0 rgb 0] [1 rgb <3,0,0>] }"
    across = "gradient y color_map { [0 rgb 0] [1 rgb <0,3,0>] }"
    mark = (2 * index + (0 if is_body else 1)) / 64
    return (f"texture {{ pigment {{ uv_mapping average pigment_map {{ [1 {along}] [1 {across}] [1 rgb <0,0,{3 * mark:.8f}>] }} }} "
            f"finish {{ ambient 1 diffuse 0 }} }}\n")


def rows(name, values, form):
    return f"{name} {{ {len(values)}, " + ",".join(form % tuple(row) for row in values) + " }\n"


def bait_text(bait, index, seed):
    text = ""
    for tube in bait.tubes:
        points, normals, uv, faces = bait.mesh(tube)
        text += "mesh2 {\n" + rows("vertex_vectors", points, "<%.3f,%.3f,%.3f>")
        text += rows("normal_vectors", normals, "<%.4f,%.4f,%.4f>")
        text += rows("uv_vectors", .1 + .8 * uv, "<%.5f,%.5f>") + rows("face_indices", faces, "<%d,%d,%d>")
        text += (f"#ifdef (DRAW_TRUTH) {truth_texture(index, tube.body)} "
                 f"#else {bait_texture(bait, seed * 100 + index)} #end }}\n")
    return text


def pov_text(scene):
    view, (lamps, around) = scene.view, lights(scene)
    text = "#version 3.7;\nglobal_settings { assumed_gamma 1 max_trace_level 6 }\n"
    # The board sends light back at what lies on it.
    text += f"#declare AROUND = rgb {v3(around)};\n#declare BESIDE = rgb {v3(around + .06 * np.array(BOARDS[scene.board]))};\n"
    text += (f"camera {{ perspective location {v3(view.place)} right {v3(view.right)} "
             f"up {v3(-view.down * view.height / view.width)} direction {v3(view.look * view.far)} }}\n")
    text += f"#ifdef (DRAW_TRUTH) plane {{ z, 0 pigment {{ rgb 0 }} finish {{ ambient 0 diffuse 0 }} }} #else\n{lamps}"
    text += f"sky_sphere {{ pigment {{ gradient z color_map {{ [0 rgb {v3(around * 2)}] [1 rgb {v3(around * 5 + .05)}] }} }} }}\n"
    text += ground(scene) + (card(scene) if scene.card else "") + "#end\n"
    return text + "".join(bait_text(b, i + 1, scene.seed) for i, b in enumerate(scene.baits))


def truth_text(scene):
    """What the judge reads beside the truth's picture (traced.c)."""
    view = scene.view
    card_xy = "yes corners" + "".join(" %.3f" % c for c in scene.card_corners()) if scene.card else "none"
    lines = [f"board {view.width} {view.height} {len(scene.baits)} {scene.light} {scene.board.replace(' ', '-')} "
             f"{scene.camera['quality']}", f"card {card_xy}"]
    steps = np.linspace(0, 1, WEIGHTS + 1)
    for bait in scene.baits:
        lines.append(f"bait {bait.kind} {len(bait.colors)} {','.join(w.replace(' ', '-') for w in bait.words) or '-'}")
        lines.append("borders" + "".join(f" {b:.5f}" for b in bait.shown_borders(view.project)))
        lines.append("blends" + "".join(f" {b:.5f}" for b in bait.blends))
        lines += ["weights " + " ".join(f"{w:.4f}" for w in row) for row in bait.weights(steps)]
    return "\n".join(lines) + "\n"
