"""The slow truth: every choice of a small show tried, every way to hang it tried; for comparison only."""

import itertools

from campaign.planning.wall import stretches_for


def hangs(frames, *, pieces, gap_mm):
    """Try every stretch for every frame."""
    if not frames:
        return True
    free = [piece.length_mm - gap_mm for piece in pieces]

    def settle(k):
        if k == len(frames):
            return True
        width, height = frames[k]
        for place, piece in enumerate(pieces):
            if height <= piece.max_height_mm and width + gap_mm <= free[place]:
                free[place] -= width + gap_mm
                if settle(k + 1):
                    return True
                free[place] += width + gap_mm
        return False

    return settle(0)


def staircase_by_trying(request):
    """All steps as (money, worth, choice), ties by fewer finishes, then earlier work, then earlier option."""
    pieces = stretches_for(request)
    found = []
    for choice in itertools.product(*([*range(len(work.options)), -1] for work in request.works)):
        hung = [work.options[i] for work, i in zip(request.works, choice, strict=True) if i >= 0]
        if sum(option.printer_seconds for option in hung) > request.printer_seconds:
            continue
        if not hangs([(o.width_mm, o.height_mm) for o in hung], pieces=pieces, gap_mm=request.min_gap_mm):
            continue
        money = sum(option.cost_minor for option in hung) + (request.show_cost_minor if hung else 0)
        finishes = len({option.finish_code for option in hung})
        own_order = tuple(i if i >= 0 else 10**6 for i in choice)
        found.append((money, -sum(option.worth for option in hung), finishes, own_order, choice))
    steps = []
    for money, negative, _, _, choice in sorted(found):
        if not steps or -negative > steps[-1][1]:
            steps.append((money, -negative, choice))
    return steps
