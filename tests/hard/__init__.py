"""Hard use: seeded cases that an adversary or bad luck brings, each judged by one rule."""
