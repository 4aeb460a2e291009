"""Colours of a photo whose file carries a colour profile, such as the wide gamut of a telephone, in sRGB."""

from __future__ import annotations

import io

import numpy as np

from printcheck.core.handover import Bgr

# where JPEG, PNG, WebP, TIFF, HEIF keep a profile; without these bytes no library is loaded to look for one
MARKS = (b"ICC_PROFILE\0", b"iCCP", b"ICCP", b"acsp", b"colrprof")


def in_srgb(bgr: Bgr, data: bytes) -> Bgr:
    """Pixels in sRGB by the profile in the file; as they are where it has none, a broken one, or sRGB.

    Parameters
    ----------
    bgr : (H, W, 3) uint8
        As decoded.
    data : bytes
        The file.
    """
    if not any(mark in data for mark in MARKS):
        return bgr
    from PIL import Image, ImageCms

    try:
        with Image.open(io.BytesIO(data)) as image:
            mode, profile = image.mode, image.info.get("icc_profile")
        if not profile or mode not in ("RGB", "RGBA", "P"):
            return bgr
        own = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        if "srgb" in ImageCms.getProfileDescription(own).lower():
            return bgr
        change = ImageCms.buildTransform(own, ImageCms.createProfile("sRGB"), "RGB", "RGB")
        ImageCms.applyTransform(picture := Image.fromarray(bgr[..., ::-1]), change, inPlace=True)
    except Exception:  # a broken profile is no reason to refuse the picture
        return bgr
    return np.ascontiguousarray(np.asarray(picture)[..., ::-1])
