"""The rules every plan of the shop keeps, each checked in exact seconds, one module a subject."""
