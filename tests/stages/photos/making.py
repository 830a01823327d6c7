"""Pictures as phones and others send them."""

from io import BytesIO

from PIL import Image
from PIL.ExifTags import GPS, IFD, Base


def picture(size=(400, 300), *, left="red", right="blue", kind="JPEG", **saved) -> bytes:
    """Two colours side by side, so that it shows which way up it is."""
    image = Image.new("RGB", size, left)
    image.paste(right, (size[0] // 2, 0, size[0], size[1]))
    buffer = BytesIO()
    image.save(buffer, kind, **saved)
    return buffer.getvalue()


def phones_photo(size=(400, 300)) -> bytes:
    """As a phone held upright writes it: lying, told to turn (orientation 6), and where it was.

    The place is the middle of the Skagerrak, where nobody lives.
    """
    exif = Image.Exif()
    exif[Base.Orientation] = 6
    exif[Base.Make] = "A phone"
    exif[Base.DateTime] = "2026:03:02 09:15:00"
    gps = exif.get_ifd(IFD.GPSInfo)
    gps[GPS.GPSLatitudeRef], gps[GPS.GPSLatitude] = "N", (58.0, 0.0, 0.0)
    gps[GPS.GPSLongitudeRef], gps[GPS.GPSLongitude] = "E", (9.0, 30.0, 0.0)
    return picture(size, exif=exif, comment=b"taken at home")


def bomb(width=30_000, height=30_000) -> bytes:
    """A PNG of some hundred kilobytes that would be 900 megapixels in memory."""
    import struct
    import zlib

    def chunk(name: bytes, data: bytes) -> bytes:
        whole = name + data
        return struct.pack(">I", len(data)) + whole + struct.pack(">I", zlib.crc32(whole))

    packer = zlib.compressobj(9)
    row = bytes(1 + (width + 7) // 8)
    rows = b"".join(packer.compress(row) for _ in range(height)) + packer.flush()
    header = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")
    )
