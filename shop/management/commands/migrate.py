"""Django's migrate, with what `start` does around it: a copy first, and one process at a time."""

from typing import Any

from django.core.management.base import CommandError
from django.core.management.commands import migrate

from shop.base.migrating import WholeSteps, one_at_a_time
from shop.launch.preparing import copy_before_update
from shop.launch.telling import Problem


class StepsAfterCopy(WholeSteps):
    """Keeps a copy of the books before the first step, where there is one to take."""

    def migrate(self, targets: Any, plan: Any = None, *args: Any, **how: Any) -> Any:
        if plan:
            copy_before_update(self)
        return super().migrate(targets, plan, *args, **how)


# The command names its executor nowhere else.
migrate.MigrationExecutor = StepsAfterCopy  # type: ignore[attr-defined]


class Command(migrate.Command):
    """Brings the tables up or back to a version, with a copy of the books kept before."""

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            with one_at_a_time():
                super().handle(*args, **options)
        except Problem as problem:
            raise CommandError(str(problem)) from None
