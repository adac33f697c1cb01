"""Asks a primary and its replica, in a process of its own, and prints as JSON which of the two answered what.

The maker is called "primary" in the one and "replica" in the other, so every answer tells where it was read.
"""

import json
import os
import shutil
import sys

import django

os.environ["DJANGO_SETTINGS_MODULE"] = "shop.settings"
django.setup()

from django.contrib.auth.models import User  # noqa: E402
from django.db import OperationalError, connections, router, transaction  # noqa: E402
from django.http import HttpResponse  # noqa: E402
from django.test import Client, RequestFactory  # noqa: E402

from catalog.models import EngineFamily, Maker  # noqa: E402
from estimates.models import Customer, Unit  # noqa: E402
from shop.replicas import CatalogueReads, reading  # noqa: E402

ADDRESS = "/api/v1/makers/"


def fill() -> None:
    """The primary gets a few rows, the replica is a copy of it, and then the primary moves on."""
    if User.objects.exists():
        return
    User.objects.create_superuser("owner")
    maker = Maker.objects.create(code="orrin", name="replica")
    family = EngineFamily.objects.create(
        code="orrin-v4",
        maker=maker,
        name="Orrin V4",
        layout="vee",
        cylinders=4,
        voltage=12,
        numbering="maker",
    )
    customer = Customer.objects.create(number="C1", name="Somebody")
    Unit.objects.create(number="U1", customer=customer, name="Boat", family=family)
    primary = connections["default"]
    primary.close()  # brings the log back into the file
    if connections["replica"].vendor == "sqlite":
        shutil.copy(primary.settings_dict["NAME"], connections["replica"].settings_dict["NAME"])
    Maker.objects.update(name="primary")


def person() -> Client:
    client = Client()
    client.force_login(User.objects.get(username="owner"))
    return client


def name_in(client: Client, **extra: str) -> str:
    return client.get(ADDRESS, **extra).json()["results"][0]["name"]


def within(read, method: str = "GET", module: str = "catalog.views.counter", **more) -> str:
    """What `read` finds within a request to a view of that module, through the middleware itself."""
    found = []

    def view(request):
        found.append(read())
        return HttpResponse()

    view.__module__ = module
    for name, value in more.items():
        setattr(view, name, value)

    def respond(request):
        middleware.process_view(request, view, (), {})
        return view(request)

    middleware = CatalogueReads(respond)
    middleware(RequestFactory().generic(method, "/"))
    return found[0]


def by_orm() -> str:
    return Maker.objects.get().name


def by_raw() -> str:
    return next(iter(Maker.objects.raw("SELECT id, name FROM catalog_maker"))).name


def by_cursor() -> str:
    with connections[reading()].cursor() as cursor:
        cursor.execute("SELECT name FROM catalog_maker")
        return cursor.fetchone()[0]


def in_transaction() -> str:
    with transaction.atomic():
        return by_orm()


def locked() -> str:
    with transaction.atomic():
        return Maker.objects.select_for_update().get().name


def of_a_unit() -> str:
    return Unit.objects.get().family.maker.name


def of_units_prefetched() -> str:
    (unit,) = Unit.objects.prefetch_related("family__maker")
    return unit.family.maker.name


def saved_where() -> dict[str, str]:
    """A row read from the replica is changed: where does it go?"""
    family = EngineFamily.objects.get()
    read_from = family._state.db
    family.description = "changed"
    family.save()
    return {
        "read": read_from,
        **{alias: EngineFamily.objects.using(alias).get().description for alias in connections},
    }


class Asks:
    only_reads = True


def main() -> None:
    colleague, saver = person(), person()
    told = {"before": name_in(saver)}
    posted = saver.post("/admin/catalog/maker/add/", {"code": "", "name": ""})  # refused, and yet unsafe
    cookie = posted.cookies["wrote"]
    told |= {
        "cookie": [cookie["max-age"], cookie["httponly"], cookie["samesite"]],
        "saver": name_in(saver),
        "colleague": name_in(colleague),
        "asks for the newest": name_in(person(), HTTP_CACHE_CONTROL="no-cache"),
        "admin": "primary" if b">primary<" in person().get("/admin/catalog/maker/").content else "replica",
        "orm": within(by_orm),
        "raw": within(by_raw),
        "cursor": within(by_cursor),
        "head": within(by_orm, "HEAD"),
        "post": within(by_orm, "POST"),
        "post that only asks": within(by_orm, "POST", cls=Asks),
        "job page": within(by_orm, module="estimates.views.job"),
        "own admin view": within(by_orm, module="catalog.admin.parts"),
        "in a transaction": within(in_transaction),
        "locked": within(locked),
        "of a unit": within(of_a_unit),
        "of units prefetched": within(of_units_prefetched),
        "after a request": by_orm(),
        "other apps": within(lambda: router.db_for_read(User)),
        "saved": within(saved_where),
        "statements on the replica are refused": refused_there(),
        "migrates there": [
            name for name in ("catalog", "shop", "auth") if router.allow_migrate("replica", name)
        ],
    }
    json.dump(told, sys.stdout)


def refused_there() -> bool:
    try:
        Maker.objects.using("replica").create(code="new", name="new")
    except OperationalError:
        return True
    return False


if __name__ == "__main__":
    fill()
    if sys.argv[1:] == ["down"]:
        json.dump([name_in(person()), name_in(person())], sys.stdout)
    else:
        main()
