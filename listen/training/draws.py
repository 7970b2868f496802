"""Random draws on the device that trains."""

from __future__ import annotations

import math

import torch


class Draws:
    """A seeded source of random tensors.

    Parameters
    ----------
    device : str
    seed : int
    """

    def __init__(self, device: str, seed: int) -> None:
        self.device = device
        self.generator = torch.Generator(device=device)
        self.generator.manual_seed(seed)

    def uniform(self, *shape: int, low: float = 0.0, high: float = 1.0) -> torch.Tensor:
        """Draw evenly from low..high."""
        return low + (high - low) * torch.rand(*shape, device=self.device, generator=self.generator)

    def log_uniform(self, *shape: int, low: float, high: float) -> torch.Tensor:
        """Draw evenly in the logarithm from low..high."""
        return torch.exp(self.uniform(*shape, low=math.log(low), high=math.log(high)))

    def normal(self, *shape: int) -> torch.Tensor:
        """Draw from the normal distribution."""
        return torch.randn(*shape, device=self.device, generator=self.generator)

    def chance(self, *shape: int, share: float) -> torch.Tensor:
        """Draw booleans that are true with a probability."""
        return torch.rand(*shape, device=self.device, generator=self.generator) < share

    def integers(self, *shape: int, low: int, high: int) -> torch.Tensor:
        """Draw whole numbers from low..high − 1."""
        return torch.randint(low, high, shape, device=self.device, generator=self.generator)

    def rows(self, n: int, share: float) -> torch.Tensor:
        """Draw distinct rows of a batch of n: a fixed number, so that nothing waits for the device."""
        return torch.randperm(n, device=self.device, generator=self.generator)[: max(1, round(n * share))]

    def signs(self, *shape: int) -> torch.Tensor:
        """Draw −1 or 1."""
        return torch.where(self.chance(*shape, share=0.5), 1.0, -1.0)

    def smooth(self, n: int, length: int, every: int) -> torch.Tensor:
        """Draw smooth curves of unit variance at their knots, shape (n, length), a knot every so many samples."""
        knots = self.normal(n, 1, length // every + 3)
        curve = torch.nn.functional.interpolate(knots, size=length + 2 * every, mode="linear", align_corners=True)
        return curve[:, 0, :length]
