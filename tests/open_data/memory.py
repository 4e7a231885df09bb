"""Bytes at addresses, made to fit a description, and written as Intel HEX, S-record or binary."""
import struct


class Memory:
    def __init__(self):
        self.bytes = {}
        self.clashes = set()  # names of what could not be laid down whole

    def put(self, name, address, form, number):
        """The first to lay bytes down keeps them; who comes later and wants others is noted."""
        for offset, byte in enumerate(struct.pack(form, number)):
            if self.bytes.setdefault(address + offset, byte) != byte:
                self.clashes.add(name)

    def get(self, address, form):
        return struct.unpack(form, bytes(self.bytes[address + i] for i in range(struct.calcsize(form))))[0]

    def pad(self, gap, filler=0xEE):
        """Fills holes of up to `gap` bytes and a few bytes behind each run."""
        for address in sorted(self.bytes):
            following = [address + i for i in range(1, gap + 1)]
            for hole in following:
                self.bytes.setdefault(hole, filler)

    def runs(self):
        """[(address, bytes)] of rising addresses without a hole."""
        found = []
        for address in sorted(self.bytes):
            if found and address == found[-1][0] + len(found[-1][1]):
                found[-1][1].append(self.bytes[address])
            else:
                found.append((address, bytearray([self.bytes[address]])))
        return found

    def intel_hex(self, length=32):
        lines, base = [], None
        for address, data in self.pieces(length):
            if address >> 16 != base:
                base = address >> 16
                lines.append(hex_record(0, 4, base.to_bytes(2, "big")))
            lines.append(hex_record(address & 0xFFFF, 0, data))
        return "\n".join(lines + [":00000001FF", ""])

    def s_record(self, length=28):
        lines = []
        for address, data in self.pieces(length):
            counted = bytes([len(data) + 5]) + address.to_bytes(4, "big") + data
            lines.append(f"S3{counted.hex().upper()}{~sum(counted) & 0xFF:02X}")
        return "\r\n".join(lines + ["S70500000000FA", ""])

    def binary(self):
        """(base address, bytes), holes as 0xFF."""
        first, last = min(self.bytes), max(self.bytes)
        return first, bytes(self.bytes.get(address, 0xFF) for address in range(first, last + 1))

    def pieces(self, length):
        for address, data in self.runs():
            at = 0
            while at < len(data):
                size = min(length, len(data) - at, 0x10000 - (address + at) % 0x10000)
                yield address + at, bytes(data[at:at + size])
                at += size


def hex_record(address, kind, data):
    counted = bytes([len(data)]) + address.to_bytes(2, "big") + bytes([kind]) + data
    return f":{counted.hex().upper()}{-sum(counted) & 0xFF:02X}"
