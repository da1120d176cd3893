"""Pictures of printed labels as bad cameras and a year outdoors make them; every one is seeded.

Grey arrays, 0 black to 255 white. Nothing here is measured on real photos: sizes of spots, blur and glare are
common practice, no source, stated beside each and the same for every kind of label.
"""

from typing import NamedTuple

import numpy as np
import pypdfium2
import zxingcpp
from PIL import Image, ImageFilter
from scipy import ndimage

from labels.document import About
from labels.pdf import pdf_bytes
from labels.pieces import ThinLine

MM_PER_INCH = 25.4


def rendered(composition, dpi):
    """One composed label as the printer's raster shows it."""
    data = pdf_bytes([((composition.pieces, 0.0, 0.0),)], (composition.width_mm, composition.height_mm), About("label"))
    page = pypdfium2.PdfDocument(data)[0]
    return page.render(scale=dpi / 72, grayscale=True).to_numpy().squeeze().astype(np.float32)


def texts_in(grey):
    """What the decoder reads, once as it is and, only if that gives nothing, once smoothed as the server does."""
    picture = np.clip(grey, 0, 255).astype(np.uint8)
    return _read(picture) or _read(Image.fromarray(picture).filter(ImageFilter.GaussianBlur(1.5)))


def _read(picture):
    found = zxingcpp.read_barcodes(picture, zxingcpp.BarcodeFormat.QRCode, try_invert=False)
    return {code.text for code in found if code.format == zxingcpp.BarcodeFormat.QRCode}    # not Micro QR


def salt_and_pepper(grey, rng, share=0.03):
    """This share of the pixels black or white."""
    noisy, hit = grey.copy(), rng.random(grey.shape)
    noisy[hit < share / 2] = 0
    noisy[hit > 1 - share / 2] = 255
    return noisy


def blurred(grey, sigma_px):
    """Gaussian blur."""
    return ndimage.gaussian_filter(grey, sigma_px)


def defocused(grey, radius_px):
    """The disc that a lens out of focus makes of a point."""
    reach = int(np.ceil(radius_px))
    y, x = np.mgrid[-reach:reach + 1, -reach:reach + 1]
    disc = np.clip(radius_px + 0.5 - np.hypot(x, y), 0, 1)
    return ndimage.convolve(grey, (disc / disc.sum()).astype(np.float32), mode="nearest")


def dirty(grey, rng, dpi, share=0.01):
    """Round spots of 1 to 4 mm, dark as mud or light as a scratch, until this share of the label is covered."""
    soiled, covered = grey.copy(), 0.0
    while covered < share * grey.size:
        radius = rng.uniform(0.5, 2.0) * dpi / MM_PER_INCH
        x, y = rng.uniform(0, grey.shape[1]), rng.uniform(0, grey.shape[0])
        top, left = max(0, int(y - radius)), max(0, int(x - radius))
        window = soiled[top:int(y + radius) + 2, left:int(x + radius) + 2]
        rows, columns = np.mgrid[:window.shape[0], :window.shape[1]]
        window[np.hypot(columns + left - x, rows + top - y) < radius] = rng.choice([40, 110, 235])
        covered += np.pi * radius ** 2
    return soiled


def glaring(grey, rng):
    """Sun on the foil: contrast falls to a third in the middle of a bright patch of a third of the label's width."""
    y, x = np.mgrid[:grey.shape[0], :grey.shape[1]]
    radius = 0.33 * max(grey.shape)
    away = np.hypot(x - rng.uniform(0, grey.shape[1]), y - rng.uniform(0, grey.shape[0])) / radius
    haze = 0.67 * np.exp(-away ** 2)
    return grey * (1 - haze) + 255 * haze


class View(NamedTuple):
    """How a camera sees a strip on its tube."""

    tube_mm: float
    turned_deg: float = 0.0
    """Angle between the line of sight and the middle of the symbol."""
    rolled_deg: float = 0.0
    """The tube's lie in the picture."""
    distance_mm: float = 250.0
    px_per_mm: float = 5.0
    """Where the tube is nearest."""


def on_tube(strip, dpi, middle_mm, view, size_mm=(60.0, 60.0)):
    """A strip wrapped round a tube, seen in perspective, the light coming from the camera's left.

    `middle_mm` is the point (along, round) of the strip, from its top left corner, that `turned_deg` speaks of.
    The strip goes all the way round and closes on itself.
    """
    width, height = (int(size * view.px_per_mm) for size in size_mm)
    radius, distance = view.tube_mm / 2, view.distance_mm
    roll = np.radians(view.rolled_deg)
    y, x = np.mgrid[:height, :width].astype(np.float32)
    x, y = (x - width / 2) / view.px_per_mm, (y - height / 2) / view.px_per_mm
    along, across = x * np.cos(roll) + y * np.sin(roll), y * np.cos(roll) - x * np.sin(roll)
    # ray from (0, distance + radius) through `across` on the plane that touches the tube
    slope = across / distance
    a, b, c = 1 + slope ** 2, -(distance + radius), (distance + radius) ** 2 - radius ** 2
    inside = b ** 2 - a * c
    depth = (-b - np.sqrt(np.maximum(inside, 0))) / a
    angle = np.arcsin(np.clip(slope * depth / radius, -1, 1))
    scale = dpi / MM_PER_INCH
    round_mm = np.mod(middle_mm[1] + radius * (angle - np.radians(view.turned_deg)), np.pi * view.tube_mm)
    column, row = (middle_mm[0] + along * depth / distance) * scale, round_mm * scale
    seen = ndimage.map_coordinates(strip, [row, column], order=1, mode="constant", cval=230)
    light = 0.45 + 0.55 * np.clip(np.cos(angle - 0.5), 0, 1)
    return np.where(inside > 0, seen * light, 120).astype(np.float32)


CONDITIONS = {
    "150 dpi grey": lambda label, rng: rendered(label, 150),
    "200 dpi, blur, 3 % salt and pepper": lambda label, rng: salt_and_pepper(blurred(rendered(label, 200), 1.0), rng),
    "dirt on 1 %": lambda label, rng: dirty(rendered(label, 200), rng, 200),
    "glare": lambda label, rng: glaring(rendered(label, 200), rng),
    "defocus, disc of 0.8 mm": lambda label, rng: defocused(rendered(label, 150), 0.4 * 150 / MM_PER_INCH),
}
"""Pictures of one composed label: (composition, random generator) to grey array."""


def tube_picture(label, mark, tube_mm, rng, *, turned_deg):
    """A strip on its tube as a phone sees it: turned by an angle, rolled by chance, a little blurred and noisy."""
    side = mark.symbol.full_size * mark.module_mm
    dpi = 400 if tube_mm < 50 else 200
    view = View(tube_mm, turned_deg, rng.uniform(-25, 25), max(200.0, 8 * side),
                5.0 / mark.module_mm)
    middle = (mark.x_mm + side / 2, mark.y_mm + side / 2)
    seen = blurred(on_tube(rendered(label, dpi), dpi, middle, view, (1.4 * side, 1.4 * side)), 1.0)
    return seen + rng.normal(0, 4, seen.shape)


def closed(label, strip, tube_mm, dpi):
    """The strip on its tube: where its corner was cut off along the dashed lines, the layer below shows."""
    scale, turn = dpi / MM_PER_INCH, round(np.pi * tube_mm * dpi / MM_PER_INCH)
    on_top = strip.copy()
    for line in label.pieces:
        if isinstance(line, ThinLine) and line.dashed and line.start[1] == line.end[1] < np.pi * tube_mm / 2:
            left, right, edge = (round(mm * scale) for mm in (line.start[0], line.end[0], line.end[1]))
            on_top[:edge, left:right] = strip[turn:turn + edge, left:right]
    return on_top


def walk(label, marks, tube_mm, rng, directions_deg, *, read=texts_in):
    """What is read from each direction of a walk round a pole, all of it in the picture, its symbols in the middle."""
    dpi = 400 if tube_mm < 50 else 200
    strip, side = closed(label, rendered(label, dpi), tube_mm, dpi), marks[0].symbol.full_size * marks[0].module_mm
    left, right = min(mark.x_mm for mark in marks), max(mark.x_mm for mark in marks) + side
    size_mm = (right - left + 6.0, 1.2 * tube_mm)
    for direction in directions_deg:
        view = View(tube_mm, 0.0, rng.uniform(-25, 25), max(200.0, 8 * side), 5.0 / marks[0].module_mm)
        middle = ((left + right) / 2, np.radians(direction) * tube_mm / 2)
        seen = blurred(on_tube(strip, dpi, middle, view, size_mm), 1.0)
        yield read(seen + rng.normal(0, 4, seen.shape))
