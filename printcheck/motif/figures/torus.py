"""Connected pieces on a cell whose opposite sides are one: pieces that end, and networks that do not."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from printcheck.core.handover import Array
from printcheck.motif.cv_types import Bools, Ints


@dataclass(frozen=True)
class Piece:
    """One connected piece, unwrapped so that it hangs together.

    Parameters
    ----------
    rows, columns : (N,) int64
        Its samples; they may run past the cell's sides.
    """

    rows: Ints
    columns: Ints

    @property
    def area(self) -> int:
        """Samples it holds."""
        return len(self.rows)

    @property
    def places(self) -> Ints:
        """(N, 2) columns and rows."""
        return np.stack([self.columns, self.rows], axis=1)

    def joined(self, other: Piece, *, rows: int = 0, columns: int = 0) -> Piece:
        """Return this piece and the other, shifted, as one."""
        return Piece(
            np.concatenate([self.rows, other.rows + rows]),
            np.concatenate([self.columns, other.columns + columns]),
        )

    def part(self, chosen: Bools) -> Piece:
        """Return the chosen samples as a piece."""
        return Piece(self.rows[chosen], self.columns[chosen])


@dataclass(frozen=True)
class Pieces:
    """All pieces of a mask on the torus.

    Parameters
    ----------
    ending : list of Piece
        Pieces that end, largest first.
    network : (H, W) bool
        Samples of pieces that join their own copies: lines, grounds, trellises.
    """

    ending: list[Piece]
    network: Bools


def pieces_of(mask: Bools, *, connectivity: int = 8) -> Pieces:
    """Pieces of the mask on the torus.

    Labels the cell as a plain picture, then walks over its sides: two labels that touch there are one
    piece, shifted by whole cells. A label reached with two different shifts belongs to a network.
    """
    count, labels = cv2.connectedComponents(
        mask.astype(np.uint8), connectivity=connectivity, ltype=cv2.CV_32S
    )
    shift, root, endless = _walk(count, _contacts(labels, connectivity))
    rows, columns = np.nonzero(mask)
    label = labels[rows, columns]
    whole = root[label]
    ends = ~endless[whole]
    network = np.zeros(mask.shape, bool)
    network[rows[~ends], columns[~ends]] = True
    rows = rows[ends] + shift[label[ends], 0] * mask.shape[0]
    columns = columns[ends] + shift[label[ends], 1] * mask.shape[1]
    order = np.argsort(whole[ends], kind="stable")
    cuts = np.nonzero(np.diff(whole[ends][order]))[0] + 1
    split = (np.split(rows[order], cuts), np.split(columns[order], cuts))
    ending = [Piece(r, c) for r, c in zip(*split, strict=True) if len(r)]
    return Pieces(sorted(ending, key=lambda piece: -piece.area), network)


def without_holes(mask: Bools) -> Bools:
    """Mask with every enclosed patch of ground filled, but for the largest one if nothing else is ground."""
    ground = pieces_of(~mask, connectivity=4)
    holes = ground.ending if ground.network.any() else ground.ending[1:]
    filled: Bools = mask.copy()
    for hole in holes:
        filled[hole.rows % mask.shape[0], hole.columns % mask.shape[1]] = True
    return filled


def _contacts(labels: Array, connectivity: int) -> Ints:
    """Unique rows (label, label, row shift, column shift) of labels that touch across a side."""
    height, width = labels.shape
    found = []
    for slant in (-1, 0, 1) if connectivity == 8 else (0,):
        at = np.arange(height) + slant
        found.append(_pairs(labels[:, -1], labels[at % height, 0], at // height, np.ones(height)))
        at = np.arange(width) + slant
        found.append(_pairs(labels[-1], labels[0, at % width], np.ones(width), at // width))
    pairs = np.concatenate(found).astype(np.int64)
    return np.unique(pairs[(pairs[:, 0] > 0) & (pairs[:, 1] > 0)], axis=0)


def _pairs(first: Array, second: Array, rows: object, columns: object) -> Ints:
    return np.stack([first, second, rows, columns], axis=1)  # type: ignore[list-item]


def _walk(count: int, contacts: Ints) -> tuple[Ints, Ints, Bools]:
    """Shift and root of every label, and whether its piece joins its own copy."""
    beside: dict[int, list[tuple[int, int, int]]] = {}
    for a, b, rows, columns in contacts.tolist():
        beside.setdefault(a, []).append((b, rows, columns))
        beside.setdefault(b, []).append((a, -rows, -columns))
    shift, root = np.zeros((count, 2), np.int64), np.arange(count)
    endless, seen = np.zeros(count, bool), np.zeros(count, bool)
    for start in beside:
        if seen[start]:
            continue
        seen[start], todo = True, [start]
        while todo:
            here = todo.pop()
            for there, rows, columns in beside[here]:
                reached = shift[here] + (rows, columns)
                if not seen[there]:
                    seen[there], shift[there], root[there] = True, reached, start
                    todo.append(there)
                elif (shift[there] != reached).any():
                    endless[start] = True
    return shift, root, endless
