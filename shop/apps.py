from django.apps import AppConfig

from shop.guards import install_after_migrate, never_changes

GUARDS = (never_changes("shop_event", "events"),)


class ShopConfig(AppConfig):
    name = "shop"

    def ready(self) -> None:
        install_after_migrate(self, GUARDS)
