#!/usr/bin/env python3
"""Writes firmware-notes/vectors/link.txt: `make_vectors.py > ../../firmware-notes/vectors/link.txt`.

Neither the C nor the C# source has a part in it: CRC by zlib, byte stuffing written here on the joined string, intervals worked out by hand.
"""
import struct
import zlib


def stuff(plain):
    """COBS by the paper's words: cut at the zeros of plain + zero, then into pieces of at most 254 bytes."""
    encoded = b""
    pieces = (plain + b"\0").split(b"\0")[:-1]
    for number, piece in enumerate(pieces):
        while len(piece) >= 254:
            encoded += b"\xff" + piece[:254]
            piece = piece[254:]
            if not piece and number == len(pieces) - 1:
                return encoded
        encoded += bytes([len(piece) + 1]) + piece
    return encoded


def payload(kind, seq, body):
    before = bytes([kind, seq]) + body
    return before + struct.pack("<I", zlib.crc32(before))


def text(data):
    return data.hex() or "-"


def frame(name, kind, seq, body):
    print("frame", name, f"{kind:02x}", f"{seq:02x}", text(body), text(b"\0" + stuff(payload(kind, seq, body)) + b"\0"))


def reject(why, encoded):
    print("reject", why, text(b"\0" + encoded + b"\0"))


def run(first, last):
    return bytes(range(first, last + 1))


def main():
    print("# Vectors of the link protocol, version 1.2; link-protocol.md section 10 tells the format. Made by tests/firmware/make_vectors.py.")
    print()
    print("# COBS: table of the public cobs-codec README (ThierryHenry1994/cobs-codec), the same rows as the encyclopedia article.")
    rows = [("00", "0101"), ("0000", "010101"), ("001100", "01021101"), ("11220033", "0311220233"), ("11223344", "0511223344"),
            ("11000000", "0211010101"),
            (run(1, 254).hex(), "ff" + run(1, 254).hex()),
            ("00" + run(1, 254).hex(), "01ff" + run(1, 254).hex()),
            (run(1, 255).hex(), "ff" + run(1, 254).hex() + "02ff"),
            (run(2, 255).hex() + "00", "ff" + run(2, 255).hex() + "0101"),
            (run(3, 255).hex() + "0001", "fe" + run(3, 255).hex() + "0201")]
    for plain, encoded in rows:
        assert stuff(bytes.fromhex(plain)).hex() == encoded, plain
        print("cobs", plain, encoded)
    print("# COBS: README of cmcqueen/cobs2-rs.")
    print("cobs 2fa200927302 032fa204927302")
    print("# COBS: example of Cheshire & Baker, IEEE/ACM Transactions on Networking 7(2), April 1999: value from memory, recomputed.")
    print("cobs 4500002c4c79000040064f37 024501042c4c79010540064f37")
    print("# COBS: an empty packet (derived).")
    print("cobs - 01")
    print("# Decoding only: a last 01 behind a full run of 254 (some encoders add it; checks.md section 8).")
    print("uncobs", "ff" + run(1, 254).hex() + "01", run(1, 254).hex())
    print()
    print("# CRC-32/ISO-HDLC: check value of the catalogue (G. Cook, reveng.sourceforge.io/crc-catalogue): value from memory, recomputed.")
    print("crc32 313233343536373839 cbf43926")
    print("# The others by zlib.")
    for data in (b"", b"\0", b"\0\0\0\0", b"\xff" * 4, bytes(range(256))):
        print("crc32", text(data), f"{zlib.crc32(data):08x}")
    print()
    print("# Frames: CRC by zlib, byte stuffing by make_vectors.py.")
    nonce = bytes.fromhex("01020304")
    line = struct.pack("<BBIII", 0, 1, 8_000_000, 4_000_000, 2)
    stop = struct.pack("<BBI", 40, 0, 1)
    heartbeat = struct.pack("<I", 2000)
    steps = struct.pack("<IBIB", 1600, 1, 1, 0) + struct.pack("<IBIB", 9600, 2, 3, 16) + struct.pack("<IBIB", 120_000, 0, 0, 0)
    frame("identify", 0x01, 0x00, b"")
    frame("pins", 0x02, 0x01, b"\x00")
    frame("alive", 0x07, 0xFF, b"")
    frame("line", 0x11, 0x02, line)
    frame("stop", 0x12, 0x03, stop)
    frame("heartbeat", 0x13, 0x04, heartbeat)
    frame("arm", 0x20, 0x05, struct.pack("<I", zlib.crc32(line + stop + heartbeat)))
    frame("arm-reply", 0xA0, 0x05, b"\x00" + nonce)
    selects = struct.pack("<I", 0xC8)
    frame("selects", 0x14, 0x09, selects)
    frame("arm-with-selects", 0x20, 0x0A, struct.pack("<I", zlib.crc32(line + stop + heartbeat + selects)))
    frame("select", 0x22, 0x0B, nonce + struct.pack("<I", 0x88))
    frame("load", 0x30, 0x06, nonce + b"\x00\x03" + steps)
    frame("run", 0x31, 0x07, nonce + struct.pack("<IBI", 1, 3, zlib.crc32(steps)))
    frame("resting-reply", 0xB1, 0x08, struct.pack("<BBI", 10, 0, 256))
    frame("done", 0xF1, 0x00, struct.pack("<IBBIHBB", 1, 0, 255, 120_021, 5, 2, 1) + bytes.fromhex("3f00ff00ffff"))
    frame("fine", 0x35, 0x0C, nonce + b"\x08\x00")
    frame("fine-record", 0x36, 0x0D, struct.pack("<I", 1))
    frame("fine-record-reply", 0xB6, 0x0D, struct.pack("<BBBBIIHH", 0, 8, 0, 1, 0x1234, 0x10000, 0, 4))
    frame("crossing-record-reply", 0xB6, 0x0E, struct.pack("<BBBBIIHHHHHH", 0, 18, 1, 1, 0x1234, 0x10000, 0, 20, 914, 1306, 1500, 3000))
    frame("longest-without-zero", 0x33, 0x01, bytes(1 + n % 255 for n in range(244)))
    frame("longest-of-zeros", 0x33, 0x02, bytes(244))
    print()
    print("# Thrown away, by the first rule of section 2 that is broken.")
    good = payload(0x07, 0x01, b"")
    reject("long", stuff(bytes(1 + n % 255 for n in range(253))))
    reject("long", b"\x02" * 253)
    reject("long", stuff(payload(0x01, 0x01, bytes(1 + n % 255 for n in range(245)))))
    reject("cobs", b"\x09" + good[:4])
    reject("cobs", b"\xff" + b"\x01" * 100)
    reject("short", stuff(good[:5]))
    reject("short", stuff(b""))
    reject("short", b"\x02\x07\x01")
    for bit in (0, 9, 17, 47):
        broken = bytearray(good)
        broken[bit // 8] ^= 1 << bit % 8
        reject("crc", stuff(bytes(broken)))
    reject("crc", stuff(good[:-4] + good[-4:][::-1]))
    reject("crc", stuff(good + b"\0"))
    print()
    print("""# Intervals of changes, worked out by hand with L 20, S 8, D 50, H 45, so that L+D = 70 and L+D+2H = 160, and a period of 65536.
# Far from everything: b = t - L.
changes 20 8 50 45 65536 - - 40,1000 972:1000
# The next look after a record, and the last instant at which it can come (t - r = 70); one tick later it was another look.
changes 20 8 50 45 65536 - - 40,1000,1070 972:1000,992:1070
changes 20 8 50 45 65536 - - 40,1000,1071 972:1000,1043:1071
# A multiple of the period lies in (t - 160, t]: b = t - 160.
changes 20 8 50 45 65536 - - 40,65560 65392:65560
changes 20 8 50 45 65536 - - 40,65695 65527:65695
changes 20 8 50 45 65536 - - 40,65696 65668:65696
changes 20 8 50 45 65536 - - 40,65535 65507:65535
changes 20 8 50 45 65536 - - 40,65536 65368:65536
# A step is the same: here at 2000; the second change comes when it has surely been done (its record at 2050 is more than H behind it).
changes 20 8 50 45 65536 2000 - 40,2050 1882:2050
changes 20 8 50 45 65536 2000 - 40,2050,2130 1882:2050,2102:2130
# A step 5 before a record may still have been waiting: b = r, not t - L. The same when exactly H - 1 before; not when H before.
changes 20 8 50 45 65536 2000 - 40,2005,2100 1837:2005,1997:2100
changes 20 8 50 45 65536 2000 - 40,2044,2140 1876:2044,2036:2140
changes 20 8 50 45 65536 2000 - 40,2045,2140 1877:2045,2112:2140
# The step lies behind the record.
changes 20 8 50 45 65536 2000 - 40,1990,2100 1962:1990,1982:2100
# b never before r by more than the look: the record at 1900 is within 160 of the change at 2050.
changes 20 8 50 45 65536 2000 - 40,1900,2050 1872:1900,1892:2050
# Behind a gap: the change may have happened anywhere in it; a record inside it bounds it.
changes 20 8 50 45 65536 5000 4900:9000 40,9003 4892:9003
changes 20 8 50 45 65536 5000 4900:9000 40,4950,9003 4922:4950,4942:9003
changes 20 8 50 45 65536 5000 4900:9000 40,9003,9300 4892:9003,9272:9300
changes 20 8 50 45 65536 5000 4900:9000 40,9100 9072:9100
# The step behind the gap, seen with the gap's end within 160 before it.
changes 20 8 50 45 65536 5000,9050 4900:9000 40,9110 4892:9110""")


if __name__ == "__main__":
    main()
