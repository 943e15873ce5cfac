"""Who proposes coils: what it says where nobody asked."""

from __future__ import annotations

import warnings

from optuna.exceptions import ExperimentalWarning

from optichill.search.explore.sampler import usual_sampler


def test_the_usual_sampler_is_made_without_a_word_and_silences_nothing_else() -> None:
    with warnings.catch_warnings(record=True) as heard:
        warnings.simplefilter("always")
        usual_sampler(1, 2)
        assert [str(w.message) for w in heard] == []
        warnings.warn("PolynomialMutation is experimental", ExperimentalWarning, stacklevel=1)
        warnings.warn("PolynomialMutation is experimental", UserWarning, stacklevel=1)
    assert len(heard) == 2  # made anew by others, both are still heard
