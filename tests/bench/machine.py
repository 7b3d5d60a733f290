"""What the measurements were made on, without saying where."""

import os
import platform
from pathlib import Path

import numpy as np
import scipy


def describe():
    """Describe the machine in one line."""
    return (
        f"{processor()}, {os.cpu_count()} cores; Python {platform.python_version()}, "
        f"numpy {np.__version__}, scipy {scipy.__version__}"
    )


def processor():
    """Name the processor."""
    about = Path("/proc/cpuinfo")
    if about.exists():
        for line in about.read_text().splitlines():
            if line.startswith("model name"):
                return line.partition(":")[2].strip()
    return platform.processor() or platform.machine()
