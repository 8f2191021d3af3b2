"""Builds the wheel; what it is made of stands in pyproject.toml."""

import shutil
from pathlib import Path

from setuptools import setup
from setuptools.command.build_py import build_py

HERE = Path(__file__).parent


class BuildWithFixtures(build_py):
    """Puts the data that the desk ships beside the code; check values stay with the tests."""

    def run(self) -> None:
        super().run()
        if self.editable_mode:
            return
        for folder in ("countries", "demo", "texts", "safety"):
            if (HERE / "fixtures" / folder).is_dir():
                shutil.copytree(
                    HERE / "fixtures" / folder,
                    Path(self.build_lib) / "guiding" / "fixtures" / folder,
                    dirs_exist_ok=True,
                )


setup(cmdclass={"build_py": BuildWithFixtures})
