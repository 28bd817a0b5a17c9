"""
How a solve shares out its effort.

Judgement, where it is not said what was measured: on two shared cores, each figure
one run or a few, so that differences of a tenth mean nothing.
"""

CENTRE = 0.8
"""
Weight of the best bound's prices against the master's when pricing.

Seconds of processor until bound and shares met, at weights of 0, 0.3 and 0.8: a tight
season of 60 batches 30, 26 and 22; a tight one of 30 batches 6.5, 5.1 and 6.1; a roomy
one of 200 batches 0.5, 0.6 and 1.0.  Where it takes long, it is the least.
"""
LISTED = (2_000, 1_200_000, 40_000)
"""Routes CP-SAT is given at most to prove that no plan is better: at least the
first, else the second ÷ moving days (long rows are slow), at most the third."""

FIRST_TRIES, LONG_TRIES, SHORT_TRIES, PRICE_TRIES = 200, 250, 150, 20
"""Tries of the search: if must tasks lack, after a dive, between dives, at prices."""
TRIES_PER_TASK = 10
"""No more tries than that; what is small is soon tried out."""
TRY_PRICES = 6
"""Rounds of pricing from one plan at the prices to the next."""
ROUNDS = 3
"""Rounds of pricing in a turn while bound and shares are apart."""
DIVE, BETTER, POOL = (8, 0), (4, 2), (10, 2)
"""
Turns in which it dives anew, betters by insertion, chooses from the pool: every so
many, beginning with.

On a garden of 47 batches, two cores, four seeds, 8 s left a mean gap of 0.40 %, at
worst 0.52 %; with a choice from the pool every 24 turns 0.66 %, at worst 1.30 %.
"""
POOL_S, POOL_ROUTES = 2.0, 1500
"""Time and routes of a choice from the pool."""
ASIDE_S = 4.0
"""Time of a choice made aside."""
AROUND = (8, 25)
"""Tasks found anew at once, from and below."""
CLOSING = 0.4
"""Share of the time that prices and bound have at most before there are whole plans."""
HELD_SHARE = 0.3
"""
Share of the time left in which a whole plan is made with spaces run in given modes.

With these held the programme of shares is small: a season of 60 batches, two spaces
heated by the week and a bed to be made up closed in 2.5 s instead of 30.
"""

# Steps for time, so that a solve can be repeated.  They are those of an unhurried
# season: a tight one of 30 batches took three times as long as its steps.
TRY_S = 0.0015
"""One try of the search."""
REBUILD_S = 0.2
"""Finding a part of a plan anew."""
ROUND_S = 0.05
"""One round of pricing."""
CHOICE_S = 0.05
"""A call of CP-SAT at least, its model being built."""
