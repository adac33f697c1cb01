from django.apps import AppConfig

from shop.guards import install_after_migrate


class EstimatesConfig(AppConfig):
    name = "estimates"

    def ready(self) -> None:
        from catalog.recorded_serials import ALSO
        from estimates.guards import GUARDS
        from estimates.recorded_serials import of_units

        ALSO.append(of_units)
        install_after_migrate(self, GUARDS)
