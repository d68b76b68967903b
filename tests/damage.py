"""What happens to files: bytes that flip, blocks that are lost, ends that are cut off."""

import random

__all__ = ["damaged"]

_BLOCKS = (512, 4096, 3 * 4096)


def damaged(whole: bytes, dice: random.Random) -> bytes:
    """The bytes after one harm. Half of those that flip do so in the first page, where SQLite keeps what it opens a file by."""
    harm = dice.choice(["flipped", "flipped", "cut short", "a lost block", "a block of noise", "a page of elsewhere"])
    raw = bytearray(whole)
    if harm == "flipped":
        end = dice.choice([200, len(raw)])
        for _ in range(dice.choice([1, 1, 3, 30])):
            raw[dice.randrange(end)] ^= 1 << dice.randrange(8)
    elif harm == "cut short":
        del raw[dice.randrange(len(raw)) :]
    elif harm == "a page of elsewhere":
        to, source = (dice.randrange(len(raw) // 4096) * 4096 for _ in range(2))
        raw[to : to + 4096] = raw[source : source + 4096]
    else:
        size = dice.choice(_BLOCKS)
        start = dice.randrange(0, len(raw), 512)
        size = min(size, len(raw) - start)
        raw[start : start + size] = bytes(size) if harm == "a lost block" else dice.randbytes(size)
    return bytes(raw)
