from django.apps import AppConfig

from shop.guards import install_after_migrate


class CatalogConfig(AppConfig):
    name = "catalog"

    def ready(self) -> None:
        from catalog.guards import GUARDS
        from catalog.search.install import install_after_migrate as keep_words

        install_after_migrate(self, GUARDS)
        keep_words(self)
