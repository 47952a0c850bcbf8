"""The database: one SQLite file that holds every record, as given and laid out in tables for people.

read.py   what `matchmark check` reads: read-only, standard library only
load.py   record files into the database, all or nothing
dump.py   the database back into record files, and a hash of its content
write.py  single records, reviews, removal
schema.py tables and migrations; rows.py lays a record out in them; references.py checks what records name

Only this package knows SQLite.
"""
