import networkx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from campaign.planning.days.network import Activity, critical_path, run_network
from campaign.planning.errors import InvalidRequest


@st.composite
def networks(draw):
    """Up to a dozen activities, each waiting for some of those before it."""
    size = draw(st.integers(1, 12))
    return [
        Activity(
            f"a{i}", draw(st.integers(0, 9)), tuple(f"a{j}" for j in range(i) if draw(st.booleans()) and i - j < 5)
        )
        for i in range(size)
    ]


def longest(activities, code):
    """Longest way from a start to the end of `code`, by another library."""
    graph = networkx.DiGraph()
    lengths = {activity.code: activity.duration for activity in activities}
    graph.add_nodes_from(["begin", *lengths])
    for activity in activities:
        graph.add_edge("begin", activity.code, weight=activity.duration)
        graph.add_edges_from((before, activity.code, {"weight": activity.duration}) for before in activity.after)
    kept = graph.subgraph(networkx.ancestors(graph, code) | {code})
    return networkx.dag_longest_path_length(kept, weight="weight", default_weight=0)


@given(networks())
def test_earliest_finish_is_the_longest_way_there(activities):
    times = run_network(activities)
    assert {code: one.earliest_finish for code, one in times.items()} == {
        activity.code: longest(activities, activity.code) for activity in activities
    }


@given(networks(), st.randoms())
def test_the_order_in_which_activities_are_named_changes_no_time(activities, random):
    shuffled = list(activities)
    random.shuffle(shuffled)
    assert run_network(shuffled) == run_network(activities)


@given(networks())
def test_floats_say_how_far_an_activity_may_slip(activities):
    times = run_network(activities)
    end = max(one.earliest_finish for one in times.values())
    for index, activity in enumerate(activities):
        one = times[activity.code]
        assert 0 <= one.free_float <= one.total_float
        later = Activity(activity.code, activity.duration, activity.after, not_before=one.latest_start)
        slipped = run_network([*activities[:index], later, *activities[index + 1 :]])
        assert max(each.earliest_finish for each in slipped.values()) == end
        freely = Activity(
            activity.code, activity.duration, activity.after, not_before=one.earliest_start + one.free_float
        )
        moved = run_network([*activities[:index], freely, *activities[index + 1 :]])
        assert {code: each.earliest_start for code, each in moved.items() if code != activity.code} == {
            code: each.earliest_start for code, each in times.items() if code != activity.code
        }


@given(networks())
def test_critical_path_has_no_float_and_is_as_long_as_the_whole(activities):
    times = run_network(activities)
    end = max(one.earliest_finish for one in times.values())
    last = next(code for code, one in times.items() if one.earliest_finish == end)
    path = critical_path(activities, times=times, to=last)
    assert all(times[code].total_float == 0 for code in path)
    assert times[path[0]].earliest_start == 0


def test_a_deadline_in_the_middle_gives_float_below_zero():
    times = run_network([Activity("a", 5, not_after=3), Activity("b", 2, ("a",))])
    assert (times["a"].total_float, times["b"].total_float) == (-2, 0)


def test_what_really_happened_waits_for_nothing():
    times = run_network([Activity("a", 5), Activity("b", 2, ("a",), fixed=(1, 2)), Activity("c", 1, ("b",))], start=3)
    assert (times["b"].earliest_start, times["b"].earliest_finish) == (1, 2)
    assert times["c"].earliest_start == 3


@pytest.mark.parametrize(
    "activities",
    [
        [Activity("a", 1), Activity("a", 2)],
        [Activity("a", 1, ("z",))],
        [Activity("a", 1, ("b",)), Activity("b", 1, ("a",))],
    ],
    ids=["same code", "unknown", "circle"],
)
def test_a_network_that_makes_no_sense_is_refused(activities):
    with pytest.raises(InvalidRequest):
        run_network(activities)


def test_a_duration_below_zero_is_refused():
    with pytest.raises(InvalidRequest):
        Activity("a", -1)
