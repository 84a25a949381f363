"""Which results of a stage are kept."""

from wallwright.planning.cache import Cache


def kept(cache: Cache, *keys: str) -> list[str]:
    return [k for k in keys if cache.find(k) is not None]


def test_the_newest_are_kept_up_to_a_number_and_a_weight():
    cache = Cache(3, 10, len)
    for name in "abcd":
        cache.put(name, name)
    assert kept(cache, *"abcd") == ["b", "c", "d"]
    cache.put("e", "e" * 9)
    assert kept(cache, *"bcde") == ["d", "e"]
    cache.put("f", "f" * 99)
    assert kept(cache, *"def") == ["f"]


def test_room_is_made_before_a_result_is_there():
    cache = Cache(8, 10, len)
    cache.put("a", "a" * 4)
    cache.put("b", "b" * 4)
    cache.make_room(2)
    assert kept(cache, "a", "b") == ["a", "b"]
    cache.make_room(4)
    assert kept(cache, "a", "b") == ["b"]
    cache.make_room(99)
    assert kept(cache, "b") == []
