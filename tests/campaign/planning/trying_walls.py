"""The slow truth about one choice: every way to hang it tried, order by order; for comparison only."""

import itertools

from campaign.planning.placing.wall import stretches


def can_hang(request, choice):
    """Try every segment for every work and every order in it; pins cut the stretches before."""
    hung = {work.code: (work, work.options[i]) for work, i in zip(request.works, choice, strict=True) if i >= 0}
    tallest = max((o.height_mm for work in request.works for o in work.options), default=0)
    segments = [
        [
            piece.wall_code,
            piece.row,
            piece.x_mm,
            piece.x_mm + piece.length_mm,
            piece.max_height_mm,
            wall_gap(request, wall),
        ]
        for wall in request.walls
        for piece in stretches(wall, band_mm=tallest)
    ]
    fixed = []
    for code, (work, option) in hung.items():
        if work.pin and work.pin.middle_x_mm is not None:
            left = work.pin.middle_x_mm - option.width_mm // 2
            for segment in segments:
                wall, row, start, end, height, gap = segment
                if (
                    (wall, row) == (work.pin.wall_code, work.pin.row)
                    and option.height_mm <= height
                    and start + gap <= left
                    and left + option.width_mm + gap <= end
                ):
                    segments.remove(segment)
                    segments += [
                        [wall, row, start, left, height, gap],
                        [wall, row, left + option.width_mm, end, height, gap],
                    ]
                    fixed.append((code, wall, row, left))
                    break
            else:
                return False
    loose = [code for code in hung if code not in {one[0] for one in fixed}]
    for places in itertools.product(range(len(segments)), repeat=len(loose)):
        if _is_sound(request, hung=hung, loose=loose, places=places, segments=segments, fixed=fixed):
            return True
    return False


def wall_gap(request, wall):
    return request.min_gap_mm if wall.min_gap_mm is None else wall.min_gap_mm


def _is_sound(request, *, hung, loose, places, segments, fixed):
    wall_of = {code: segments[p][0] for code, p in zip(loose, places, strict=True)} | {one[0]: one[1] for one in fixed}
    for at, (_, _, start, end, height, gap) in enumerate(segments):
        here = [hung[code][1] for code, p in zip(loose, places, strict=True) if p == at]
        if here and (
            sum(o.width_mm + gap for o in here) + gap > end - start or any(o.height_mm > height for o in here)
        ):
            return False
    if any(work.pin and work.pin.wall_code != wall_of[code] for code, (work, _) in hung.items()):
        return False
    if any(len({wall_of[code] for code in group if code in wall_of}) > 1 for group in request.together):
        return False
    rows = {}
    for at, (wall, row, start, *_) in enumerate(segments):
        rows.setdefault((wall, row), []).append((start, 1, [c for c, p in zip(loose, places, strict=True) if p == at]))
    for code, wall, row, left in fixed:
        rows.setdefault((wall, row), []).append((left, 0, [code]))
    return all(_can_be_apart(request, [group for _, _, group in sorted(row)]) for row in rows.values())


def _can_be_apart(request, groups):
    pairs = {frozenset(pair) for pair in request.apart}
    for orders in itertools.product(*(itertools.permutations(group) for group in groups)):
        line = list(itertools.chain.from_iterable(orders))
        if not any(frozenset(two) in pairs for two in itertools.pairwise(line)):
            return True
    return False
