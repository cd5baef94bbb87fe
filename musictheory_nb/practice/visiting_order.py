"""The order in which an exercise visits its questions: spread over all of them, never the same twice running."""

from collections import Counter
from collections.abc import Hashable, Sequence

from musictheory_nb.practice.draw import Draw


def visiting_order(draw: Draw, likes: Sequence[Hashable], count: int) -> tuple[int, ...]:
    """Return `count` indices into `likes`, in rounds that visit each index once, each round in an order of its own.

    Parameters
    ----------
    draw : Draw
        Where the orders come from.
    likes : sequence
        What each question is like. Two that are alike do not follow each other where that can be had.
    count : int
        How many questions are asked; more only lengthen the order.

    Examples
    --------
    >>> order = visiting_order(Draw("demo", "first", 1, 7, -1), ["P4", "tritone", "tritone", "P5"], 8)
    >>> sorted(order[:4]), sorted(order[4:])
    ([0, 1, 2, 3], [0, 1, 2, 3])
    >>> any({one, other} <= {1, 2} for one, other in zip(order, order[1:]))
    False
    """
    order: list[int] = []
    while len(order) < count:
        waiting = draw.shuffled(range(len(likes)))
        left = Counter(likes[index] for index in waiting)
        while waiting:
            before = likes[order[-1]] if order else None
            # One kind that makes up half of what is left must come now, or it ends up beside itself.
            crowd = max(left.values())
            pressing = [
                index for index in waiting if 2 * left[likes[index]] > len(waiting) and left[likes[index]] == crowd
            ]
            free = [index for index in waiting if not order or likes[index] != before]
            chosen = next((index for index in free if index in pressing), free[0] if free else waiting[0])
            waiting.remove(chosen)
            left[likes[chosen]] -= 1
            order.append(chosen)
    return tuple(order[:count])


def order_without_repeats(
    draw: Draw, likes: Sequence[Hashable], sizes: Sequence[int], count: int
) -> tuple[tuple[int, int], ...]:
    """Return (kind, case) of `count` questions: kinds in the rounds of `visiting_order`, no case of a kind again before all.

    Parameters
    ----------
    draw : Draw
        Where the orders come from.
    likes : sequence
        What each kind of question is like.
    sizes : sequence of int
        How many cases there are of each kind, at least 1.
    count : int
        How many questions are asked.

    Examples
    --------
    >>> order = order_without_repeats(Draw("demo", "first", 1, 7, -1), ["major", "minor"], [3, 3], 6)
    >>> sorted(order)
    [(0, 0), (0, 1), (0, 2), (1, 0), (1, 1), (1, 2)]
    """
    waiting: list[list[int]] = [[] for _ in sizes]
    order = []
    for kind in visiting_order(draw, likes, count):
        left = waiting[kind] = waiting[kind] or list(range(sizes[kind]))
        place = draw.integer(len(left))
        left[place], left[-1] = left[-1], left[place]
        order.append((kind, left.pop()))
    return tuple(order)
