from django.apps import AppConfig

from shop.guards import install_after_migrate


class EstimatesConfig(AppConfig):
    name = "estimates"

    def ready(self) -> None:
        from estimates.guards import GUARDS

        install_after_migrate(self, GUARDS)
