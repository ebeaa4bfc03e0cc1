"""All rules of the check, found in the folder of rules."""

from __future__ import annotations

import importlib
import pkgutil
from functools import cache

from assistant.checking import rules
from assistant.checking.rule import Rule

__all__ = ["all_rules"]


@cache
def all_rules() -> tuple[Rule, ...]:
    """Return every rule, in the order of codes."""
    names = [module.name for module in pkgutil.iter_modules(rules.__path__)]
    found: list[Rule] = [importlib.import_module(f"{rules.__name__}.{name}").RULE for name in names]
    return tuple(sorted(found, key=lambda rule: rule.code))
