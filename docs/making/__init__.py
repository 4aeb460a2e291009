"""Parts of ``docs/make_accuracy.py``: measuring the corpora, judging against the truth, writing tables."""
