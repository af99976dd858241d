"""Put a mistake into the loaded module, in place, without writing a file."""

import sys
import types

from tests.mutants.drawing import Mutant, mutated


def module_of(path: str) -> str:
    """Return the dotted name of the module in this file."""
    return path.removesuffix(".py").replace("/", ".")


def take(mutant: Mutant) -> None:
    """Give every function of the module its changed code, in place."""
    module = sys.modules[module_of(mutant.path)]
    fresh = types.ModuleType(module.__name__)
    fresh.__dict__.update(
        __file__=module.__file__,
        __package__=module.__package__,
        __name__=module.__name__,
    )
    sys.modules[module.__name__] = fresh
    try:
        exec(compile(mutated(mutant), mutant.path, "exec"), fresh.__dict__)
    finally:
        sys.modules[module.__name__] = module
    _swap(module, fresh)


def _swap(old: object, new: object) -> None:
    for name, value in list(vars(new).items()):
        before = vars(old).get(name)
        if _is_own_class(before, value):
            _swap(before, value)
        elif type(before) is type(value):
            _swap_code(_function_of(before), _function_of(value))


def _is_own_class(before: object, after: object) -> bool:
    if not (isinstance(before, type) and isinstance(after, type)):
        return False
    return before is not after and before.__module__ == after.__module__


def _function_of(value: object) -> object:
    """Return the function inside a property, a class method or a cache."""
    for name in ("fget", "func", "__func__", "__wrapped__"):
        value = getattr(value, name, None) or value
    return value


def _swap_code(before: object, after: object) -> None:
    is_function = types.FunctionType
    if not (isinstance(before, is_function) and isinstance(after, is_function)):
        return
    if len(before.__code__.co_freevars) == len(after.__code__.co_freevars):
        before.__code__ = after.__code__
        before.__defaults__ = after.__defaults__
        before.__kwdefaults__ = after.__kwdefaults__
