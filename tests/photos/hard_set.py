"""Photos of labels by written ranges, every one seeded: what makes them hard is a table, and the truth is known.

A photo is drawn by casting rays at a flat label or a label round a tube, in perspective, before a cluttered ground;
then come light, glare, blur, noise and JPEG. Nothing here is measured on real photos: all ranges are common practice,
no source. Lengths are in modules of the symbol unless a name says otherwise.
"""

from dataclasses import dataclass, replace
from functools import cache
from io import BytesIO

import numpy as np
import qrcode
from PIL import Image, ImageDraw, ImageFont
from scipy import ndimage

from fieldapp.kit.numbering import format_id

SEED = 20261128
"""Of the sets whose rates are told. Passes were tuned on TUNING."""
TUNING = 7
QUIET = 4
SHEET = (62.0, 37.0)
"""Width and height of the drawn label: words left, symbol right."""
TEXTURE_PX = 12
"""Pixels of the drawn label to a module."""
SEEN_PX = 2
"""Rays to a pixel and side."""


@dataclass(frozen=True, slots=True)
class Ranges:
    """Bounds of what is drawn for one kind of photo, each evenly between its two ends."""

    module_px: tuple[float, float] = (3.0, 6.0)
    """Pixels a module where the symbol's middle is."""
    blur: tuple[float, float] = (0.15, 0.35)
    """Standard deviation of the blur [modules]."""
    motion: tuple[float, float] = (0.0, 0.5)
    """Way of the hand [modules]."""
    light: tuple[float, float] = (0.5, 1.0)
    """Light on the label; 1 is just below white."""
    slope: tuple[float, float] = (0.0, 0.4)
    """By how much the light falls from side to side."""
    noise: tuple[float, float] = (1.5, 4.0)
    """Standard deviation of a grey value [of 255]."""
    glare: tuple[float, float] = (0.0, 0.3)
    """How much of the light in the middle of a reflection is the sky's."""
    dirt: tuple[float, float] = (0.0, 0.005)
    """Share of the symbol that spots cover."""
    tilt_deg: tuple[float, float] = (0.0, 30.0)
    """Of a label out of the picture's plane; of a tube along its length."""
    arc_deg: tuple[float, float] | None = None
    """Angle that the symbol without its quiet zone spans round a tube; None for a flat label."""
    turned_deg: tuple[float, float] = (0.0, 10.0)
    """Between the line of sight and the middle of the symbol round the tube."""


FLAT = Ranges()
ROUND = Ranges(arc_deg=(45.0, 75.0))
HARD = {
    "small": (26, replace(FLAT, module_px=(1.4, 2.4))),
    "blurred": (26, replace(FLAT, blur=(0.38, 0.6), motion=(0.0, 0.6))),
    "shaken": (26, replace(FLAT, motion=(1.2, 2.4))),
    "dim": (26, replace(FLAT, light=(0.07, 0.2), noise=(3.0, 5.0), blur=(0.2, 0.4))),
    "glaring": (26, replace(FLAT, glare=(0.6, 0.93), light=(0.7, 1.0))),
    "dirty": (26, replace(FLAT, dirt=(0.012, 0.04))),
    "tilted": (26, replace(FLAT, tilt_deg=(55.0, 70.0), module_px=(3.0, 5.0))),
    "round, large": (40, replace(ROUND, arc_deg=(70.0, 110.0))),
    "round, turned": (40, replace(ROUND, arc_deg=(40.0, 65.0), turned_deg=(14.0, 40.0))),
    "round, small": (40, replace(ROUND, module_px=(1.8, 3.0), turned_deg=(5.0, 20.0))),
    "round, dim and blurred": (38, replace(ROUND, light=(0.1, 0.4), blur=(0.25, 0.45), turned_deg=(5.0, 20.0))),
}
"""Kind: how many photos of 340, and its ranges."""
EASY = {
    "flat": (70, replace(FLAT, module_px=(3.0, 9.0), blur=(0.1, 0.5), tilt_deg=(0.0, 45.0))),
    "motion": (70, replace(FLAT, module_px=(3.0, 9.0), motion=(0.0, 1.6))),
    "glare": (70, replace(FLAT, module_px=(3.0, 9.0), glare=(0.2, 0.75))),
    "dirt": (70, replace(FLAT, module_px=(3.0, 9.0), dirt=(0.0, 0.02))),
    "light": (70, replace(FLAT, module_px=(3.0, 9.0), light=(0.12, 0.5), slope=(0.0, 0.8))),
    "round": (70, replace(ROUND, module_px=(3.0, 9.0), arc_deg=(40.0, 65.0), turned_deg=(0.0, 18.0))),
}
"""What a crew sends on an ordinary day, as camera files of 12 megapixels: 420 photos."""
SIZES_PX = ((2400, 1800), (2400, 1800), (2400, 1800), (4000, 3000))
"""Of hard photos, by chance: what the page shrinks a photo to, and what cameras give."""


@dataclass(frozen=True, slots=True)
class View:
    """Where the symbol stands: everything that a point of the label needs to find its pixel."""

    radius: float
    """Of the tube; 0 for a flat label."""
    turned_rad: float
    turn: np.ndarray
    """(3, 3): from the label's axes to the camera's."""
    distance: float
    focal_px: float
    middle_px: tuple[float, float]

    def pixels(self, u, v):
        """Column and row of points of the label, `u` along its words and `v` downward from the symbol's middle."""
        if self.radius:
            angle = v / self.radius + self.turned_rad
            y = self.radius * (np.sin(angle) - np.sin(self.turned_rad))
            z = self.radius * (np.cos(self.turned_rad) - np.cos(angle))
        else:
            y, z = v, np.zeros_like(v)
        x, y, z = np.tensordot(self.turn, np.stack([u + 0 * v, y, z]), axes=1)
        scale = self.focal_px / (z + self.distance)
        return self.middle_px[0] + x * scale, self.middle_px[1] + y * scale

    def label_points(self, columns, rows):
        """The inverse: `u`, `v` and how squarely the surface faces the camera; NaN beside the tube."""
        ray = np.stack([(columns - self.middle_px[0]) / self.focal_px, (rows - self.middle_px[1]) / self.focal_px,
                        np.ones_like(columns)])
        d = np.tensordot(self.turn.T, ray, axes=1)              # (component, row, column)
        o = self.turn.T @ np.array([0.0, 0.0, -self.distance])
        if not self.radius:
            far = -o[2] / d[2]
            return o[0] + far * d[0], o[1] + far * d[1], np.abs(d[2]) / np.linalg.norm(d, axis=0)
        y0 = o[1] + self.radius * np.sin(self.turned_rad)
        z0 = o[2] - self.radius * np.cos(self.turned_rad)
        a, b, c = d[1] ** 2 + d[2] ** 2, y0 * d[1] + z0 * d[2], y0 ** 2 + z0 ** 2 - self.radius ** 2
        inside = b ** 2 - a * c
        far = (-b - np.sqrt(np.where(inside > 0, inside, np.nan))) / a
        y, z = y0 + far * d[1], z0 + far * d[2]
        angle = np.arctan2(y, -z)
        facing = -(d[1] * np.sin(angle) - d[2] * np.cos(angle)) / np.linalg.norm(d, axis=0)
        return o[0] + far * d[0], self.radius * (angle - self.turned_rad), facing


@dataclass(frozen=True, slots=True)
class Photo:
    """One photo of the set, and the truth of it."""

    kind: str
    text: str
    jpeg: bytes
    modules: int
    view: View


def photos(kinds=HARD, seed=SEED, share=1.0, size_px=None):
    """All photos of a set, or the first share of each kind; of a size, or as sets have it. Each has its own seed."""
    for number, (kind, (count, ranges)) in enumerate(kinds.items()):
        for index in range(max(1, round(count * share))):
            rng = np.random.default_rng((seed, number, index))
            usual = (4000, 3000) if kinds is EASY else SIZES_PX[rng.integers(len(SIZES_PX))]
            yield _photo(kind, ranges, rng, size_px or usual)


def flattened(photo, module_px):
    """The symbol perfectly cropped and flattened, with its quiet zone: what the best of passes could hand on."""
    grey = np.asarray(Image.open(BytesIO(photo.jpeg)).convert("L"), np.float32)
    half = photo.modules / 2 + QUIET
    steps = (np.arange(round(2 * half * module_px)) + 0.5) / module_px - half
    v, u = np.meshgrid(steps, steps, indexing="ij")
    x, y = photo.view.pixels(u, v)
    out = ndimage.map_coordinates(grey, [y, x], order=3, mode="nearest")
    return np.clip(out, 0, 255).astype(np.uint8)


def _photo(kind, ranges, rng, size_px):
    text, label, modules = _label(rng)
    drawn = {name: rng.uniform(*getattr(ranges, name)) for name in Ranges.__slots__ if name != "arc_deg"}
    drawn["half"] = modules / 2
    arc_deg = rng.uniform(*ranges.arc_deg) if ranges.arc_deg else 0.0
    view = _view(drawn, arc_deg, modules, rng, size_px)
    grey = _ground(size_px, rng.integers(4)) * rng.uniform(0.3, 1.0)
    _put_label(grey, _dirty(label, drawn["dirt"], modules, rng), view, drawn, rng)
    grey += drawn["noise"] * np.roll(_noise(size_px), rng.integers(1000), axis=1)
    out = BytesIO()
    Image.fromarray(np.clip(grey, 0, 255).astype(np.uint8)).save(out, "JPEG", quality=int(rng.integers(72, 90)))
    return Photo(kind, text, out.getvalue(), modules, view)


def _label(rng):
    """Text, reflectance of the drawn label and modules along a side; the symbol comes from the second encoder."""
    prefix = "".join(chr(65 + n) for n in rng.integers(0, 26, 2))
    part_id = format_id(prefix, "strut", int(rng.integers(1, 400)), width=3)
    text = f"http://10.0.0.1:8000/P/{part_id}.{rng.integers(1, 3)}"
    code = qrcode.QRCode(error_correction=qrcode.ERROR_CORRECT_M, border=0)
    code.add_data(text)
    code.make(fit=True)
    dark = np.array(code.modules, bool)
    sheet = Image.new("L", (int(SHEET[0] * TEXTURE_PX), int(SHEET[1] * TEXTURE_PX)), 222)
    pen = ImageDraw.Draw(sheet)
    for row, words in enumerate((part_id, "this end: H22 arm 4", "other end: H31")):
        pen.text((3 * TEXTURE_PX, (5 + 10 * row) * TEXTURE_PX), words, 25,
                 font=ImageFont.load_default((5.0 if row == 0 else 2.6) * TEXTURE_PX))
    corner = [round((side - QUIET - dark.shape[0]) * TEXTURE_PX) for side in SHEET]
    mark = np.where(np.kron(dark, np.ones((TEXTURE_PX, TEXTURE_PX), bool)), 25, 222).astype(np.uint8)
    sheet.paste(Image.fromarray(mark), tuple(corner))
    return text, np.asarray(sheet, np.float32) / 255, dark.shape[0]


def _dirty(label, share, modules, rng):
    """Round spots of 1 to 4 modules on the symbol, dark as mud or light as a scratch."""
    soiled, side, covered = label.copy(), modules * TEXTURE_PX, 0.0
    left, top = (size - QUIET * TEXTURE_PX - side for size in label.shape[::-1])
    y, x = np.mgrid[:label.shape[0], :label.shape[1]]
    while covered < share * side ** 2:
        radius = rng.uniform(0.5, 2.0) * TEXTURE_PX
        at = left + rng.uniform(0, side), top + rng.uniform(0, side)
        soiled[np.hypot(x - at[0], y - at[1]) < radius] = rng.choice([0.15, 0.4, 0.85])
        covered += np.pi * radius ** 2
    return soiled


def _view(drawn, arc_deg, modules, rng, size_px):
    """A camera that looks at the symbol anywhere in the middle of the picture, however the phone is turned."""
    tilt, about, roll = np.radians(drawn["tilt_deg"]), rng.uniform(0, 2 * np.pi), rng.uniform(0, 2 * np.pi)
    axis = np.array([0.0, 1.0, 0.0]) if arc_deg else np.array([np.cos(about), np.sin(about), 0.0])
    turn = _rotation(np.array([0.0, 0.0, 1.0]), roll) @ _rotation(axis, tilt * rng.choice([-1, 1]))
    distance = modules * rng.uniform(5.0, 12.0)
    middle = tuple(size * rng.uniform(0.35, 0.65) for size in size_px)
    radius = modules / np.radians(arc_deg) if arc_deg else 0.0
    turned = np.radians(drawn["turned_deg"]) * rng.choice([-1, 1])
    return View(radius, turned, turn, distance, drawn["module_px"] * distance, middle)


def _rotation(axis, angle):
    x, y, z = axis
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.eye(3) + np.sin(angle) * cross + (1 - np.cos(angle)) * cross @ cross


def _put_label(grey, label, view, drawn, rng):
    """Draw the label, and the tube that it is stuck on, into the picture."""
    reach = int(0.8 * SHEET[0] * drawn["module_px"])
    left, top = (max(0, int(m) - reach) for m in view.middle_px)
    right, bottom = (min(side, int(m) + reach) for m, side in zip(view.middle_px, grey.shape[::-1], strict=True))
    rows, columns = (np.mgrid[top * SEEN_PX:bottom * SEEN_PX, left * SEEN_PX:right * SEEN_PX].astype(np.float32)
                     + 0.5) / SEEN_PX - 0.5
    u, v, facing = view.label_points(columns, rows)
    texture = [(np.nan_to_num(v, nan=1e3) + SHEET[1] - QUIET - drawn["half"]) * TEXTURE_PX - 0.5,
               (np.nan_to_num(u, nan=1e3) + SHEET[0] - QUIET - drawn["half"]) * TEXTURE_PX - 0.5]
    on_tube = 0.45 if view.radius else np.nan
    seen = ndimage.map_coordinates(label, texture, order=1, cval=-1.0)
    seen = np.where(seen < 0, on_tube, seen) * np.clip(0.35 + 0.65 * facing, 0, 1)
    away = np.hypot(u - rng.uniform(-8, 8), v - rng.uniform(-8, 8)) / rng.uniform(6, 14)
    haze = drawn["glare"] * np.exp(-away ** 2)
    slope = 1 - drawn["slope"] * np.clip(0.5 + (u * np.cos(a := rng.uniform(0, 6.3)) + v * np.sin(a)) / 40, 0, 1)
    seen = 255 * (seen * slope * drawn["light"] * (1 - haze) + min(1.0, 1.1 * drawn["light"]) * haze)
    behind = np.kron(grey[top:bottom, left:right], np.ones((SEEN_PX, SEEN_PX), np.float32))
    whole = _blurred(np.where(np.isfinite(seen), seen, behind), drawn, rng)
    grey[top:bottom, left:right] = whole.reshape(bottom - top, SEEN_PX, right - left, SEEN_PX).mean((1, 3))


def _blurred(seen, drawn, rng):
    """Out of focus, then shaken along a straight way."""
    module = drawn["module_px"] * SEEN_PX
    soft = ndimage.gaussian_filter(seen, drawn["blur"] * module)
    steps = max(1, round(drawn["motion"] * module))
    angle = rng.uniform(0, np.pi)
    moved = [np.roll(soft, (round(k * np.sin(angle)), round(k * np.cos(angle))), (0, 1)) for k in range(steps)]
    return np.mean(moved, axis=0)


@cache
def _noise(size_px):
    return np.random.default_rng(1).normal(0, 1, size_px[::-1]).astype(np.float32)


@cache
def _ground(size_px, which):
    """Grass, boards, a weave and print: much that is dark and light, and nothing that can be read."""
    rng, (width, height) = np.random.default_rng((2, int(which))), size_px
    grey = np.zeros((height, width), np.float32)
    for cells in (12, 60, 300):
        small = Image.fromarray(rng.uniform(0, 1, (cells * 3 // 4, cells)).astype(np.float32))
        grey += np.asarray(small.resize(size_px, Image.Resampling.BICUBIC)) * (60 if cells > 12 else 110)
    y, x = np.mgrid[:height, :width]
    grey[:, : width // 4] *= np.where(y[:, : width // 4] % 90 < 6, 0.4, 1.0)
    weave = (slice(height // 12, height // 4), slice(width // 2, width * 3 // 4))
    grey[weave] = np.where((x[weave] // 7 + y[weave] // 7) % 2, 60, 190)
    sheet = Image.new("L", (width // 4, height // 5), 225)
    pen = ImageDraw.Draw(sheet)
    for row in range(12):
        pen.text((10, 8 + row * 28), "".join(chr(c) for c in rng.integers(97, 123, 60)), 40,
                 font=ImageFont.load_default(22))
    grey[height * 3 // 4: height * 3 // 4 + height // 5, width // 20: width // 20 + width // 4] = np.asarray(sheet)
    return grey
