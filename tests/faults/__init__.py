"""What happens to a base when something goes wrong: kills, full disks, locks, clocks, crowds, damage, old versions.

MATCHMARK_LONG=1 runs 100 rounds of each kill, and the crowd for 30 s.
"""
