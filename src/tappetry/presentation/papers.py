"""The papers of a job as files: the customer's quote, and the order to each supplier."""

from __future__ import annotations

import json
import re
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

from tappetry.presentation.charts.chart import svg
from tappetry.presentation.letterhead import Letterhead
from tappetry.presentation.measures import METRIC, SYSTEMS
from tappetry.presentation.order_list import Order, order_data, order_pdf, orders
from tappetry.presentation.quote import Drawing, Quote, quote_data, quote_pdf
from tappetry.pricing.policy import MoneyPolicy, read_policy
from tappetry.pricing.totals import deposit
from tappetry.pricing.validity import last_day
from tappetry.records.kit import Kit
from tappetry.services.doubts import doubted
from tappetry.services.files import save
from tappetry.services.kits import KitResult, must_be_complete
from tappetry.services.shop import Shop
from tappetry.services.why import why_not


def write_quote(shop: Shop, result: KitResult, out: Path) -> list[Path]:
    """Write the quote of a job as PDF and as JSON, dated with the job's date; the files written."""
    must_be_complete(shop, result)
    quote = quote_of(shop, result, result.job.date)
    name = f"{file_name(result.job.id)}-quote"
    return [
        save(out / f"{name}.pdf", quote_pdf(quote)),
        save(out / f"{name}.json", as_text(quote_data(quote))),
    ]


def write_orders(shop: Shop, result: KitResult, out: Path) -> list[Path]:
    """Write one order per supplier as PDF and as JSON, dated with the job's date; the files written."""
    must_be_complete(shop, result)
    # Every paper is set before any is written, so that a fault leaves nothing half-done behind.
    made = [
        (f"{file_name(result.job.id)}-order-{file_name(order.supplier.code)}", order_pdf(order), order)
        for order in orders_of(shop, result, result.job.date)
    ]
    return [
        path
        for name, pdf, order in made
        for path in (
            save(out / f"{name}.pdf", pdf),
            save(out / f"{name}.json", as_text(order_data(order))),
        )
    ]


def quote_of(shop: Shop, result: KitResult, on: date) -> Quote:
    """The quote of a kit as it goes out on a day, in the words and at the terms of the shop's house book."""
    from tappetry.presentation.drawn import drawings  # with all that draws it

    knowledge = shop.knowledge
    money = read_policy(knowledge.book.money)
    measures = SYSTEMS.get(str(knowledge.book.shop.get("units", "")), METRIC)
    return Quote(
        kit=doubted(shop, result).kit,
        job=result.job,
        shop=letterhead(shop),
        on=on,
        valid_until=last_day(on, money),
        labour_rate=money.labour_rate,
        titles=knowledge.titles(),
        need_groups={need.id: need.group for need in knowledge.needs.values()},
        fact_titles={attribute.id: attribute.title for attribute in knowledge.attributes.values()},
        service_classes=money.service_classes,
        deposit=_deposit(result.kit, money),
        tax_note=tax_note(money),
        work=knowledge.book.work,
        plan_read=shop.plan_read,
        places=why_not(shop, result),
        drawings=tuple(
            Drawing(chart.title, told, svg(chart)) for chart, told in drawings(result, measures).values()
        ),
    )


def orders_of(shop: Shop, result: KitResult, on: date) -> tuple[Order, ...]:
    """The orders of a kit as they go out on a day, one per supplier."""
    return orders(
        result.kit,
        shop.catalogue.parts,
        shop.catalogue.suppliers,
        letterhead(shop),
        on,
        read_policy(shop.knowledge.book.money).currency,
    )


def letterhead(shop: Shop) -> Letterhead:
    """The shop as its house book says it stands on papers."""
    stated = {key: str(value) for key, value in shop.knowledge.book.shop.items()}
    place, address = stated.get("place", ""), stated.get("address", "")
    return Letterhead(
        name=stated["name"],
        place="" if place in address else place,
        address=address,
        phone=stated.get("phone", ""),
        paper=stated.get("paper", "A4"),
        tax_number=stated.get("tax_number", "").strip(),
    )


def tax_note(money: MoneyPolicy) -> str:
    """Which classes are taxed, and at what rate: ``7.25 % on parts; none on labour, services, supplies``."""
    taxed = [f"{percent} % on {name}" for name, percent in sorted(money.tax.items()) if percent]
    free = ", ".join(name for name, percent in sorted(money.tax.items()) if not percent)
    return "; ".join([*taxed, *([f"none on {free}"] if free else [])])


def file_name(identifier: str) -> str:
    """An id as a part of a file name, whatever stands in it."""
    return re.sub(r"[^A-Za-z0-9._-]+", "-", identifier).strip("-.") or "unnamed"


def as_text(data: dict[str, Any]) -> bytes:
    """Plain data as the bytes of a JSON file."""
    return (json.dumps(data, indent=1, ensure_ascii=False) + "\n").encode()


def _deposit(kit: Kit, money: MoneyPolicy) -> tuple[tuple[str, Decimal], ...]:
    paid = deposit(kit, money)
    return (
        (f"parts that cannot be returned, {money.deposit_special_percent} %", paid.special),
        (f"stock parts, {money.deposit_stock_percent} %", paid.stock),
        (f"our work, {money.deposit_labour_percent} %", paid.labour),
    )
