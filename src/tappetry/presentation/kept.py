"""How kits and quotes are written down when they are kept."""

from __future__ import annotations

from tappetry.presentation.as_json import kit_data
from tappetry.presentation.papers import quote_of
from tappetry.presentation.quote import quote_data, quote_pdf
from tappetry.pricing.policy import read_policy
from tappetry.pricing.validity import last_day
from tappetry.services.kits import KitResult
from tappetry.services.ledger import Papers
from tappetry.services.shop import Shop
from tappetry.store.quotes import Paper


def papers() -> Papers:
    """The papers that a ledger keeps."""
    return Papers(kit_data, _quote)


def _quote(shop: Shop, result: KitResult) -> Paper:
    """The quote of a kit as it goes out."""
    quote = quote_of(shop, result)
    money = read_policy(shop.knowledge.book.money)
    return Paper(quote_data(quote), quote_pdf(quote), last_day(result.job.date, money))
