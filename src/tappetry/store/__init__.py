"""The shop's memory: jobs with all their versions, kits, quotes and who did what, in one database."""

from tappetry.store import (
    accepted_models,
    accounts_models,
    books_models,
    links_models,
    machine_models,
    models,
    people_models,
    price_models,
    texts_models,
)

#: Where the tables are stated; all of them are known as soon as the store is.
TABLES = (
    models,
    accepted_models,
    accounts_models,
    links_models,
    books_models,
    texts_models,
    people_models,
    machine_models,
    price_models,
)
