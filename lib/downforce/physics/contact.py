"""Rigid bodies on springs that push only: the convex problem under `statics` and `frame`.

A body with a few ways to move rests on supports. Support i is pressed in by
``press = reach[i] . motion + rise[i]`` and answers with ``stiffness[i] * press``,
a one-way support only while ``press`` is above zero. Balance is the minimum of
a convex, piecewise quadratic energy, found for many cases at once by Newton
steps with an exact line search. One factorisation serves every case that has
the same supports in contact. When some motion would go on for ever the problem
has no balance, and that motion is returned as the proof.
"""

from dataclasses import dataclass

import numpy as np

from downforce.physics.kinds import Amounts, Flags, Metres, Newtons, NewtonsPerMetre

_RANK = 1e-9  # singular values below this share of the largest belong to free motions
_BALANCE = 1e-10  # share of the load below which a force counts as zero
_STILL = 1e-8  # share of a free motion below which a support does not move with it
_STEPS = 200  # random drills with 24 wheels settle in fewer than 25


@dataclass(frozen=True)
class ContactState:
    """Balance of many cases.

    motion (cases, freedoms) [m or rad]: how far the body moves; in a case without balance, where the search
        stopped.
    contact_load (cases, supports): load of each support, zero or more on one-way supports; NaN without
        balance.
    active (cases, supports): supports that act.
    held (cases,): whether a balance exists.
    escape (cases, freedoms) [m or rad]: a motion no support resists and the load drives; zero where held.
    """

    motion: Amounts
    contact_load: Newtons
    active: Flags
    held: Flags
    escape: Amounts


class ContactSolver:
    """Solver for one set of supports; it keeps its factorisations.

    stiffness (supports,): stiffness of each support, above zero.
    reach (supports, freedoms) [-, m]: how far each support is pressed in by a unit of each motion.
    """

    def __init__(self, stiffness: NewtonsPerMetre, reach: Amounts):
        self.unit = np.max(np.abs(reach), axis=0)
        self.unit[self.unit == 0] = 1.0
        self.stiffness = stiffness
        self.reach = reach / self.unit
        self._known = {}

    def balance(
        self, load: Amounts, rise: Metres, two_way: Flags, one_way: Flags, size: Newtons
    ) -> ContactState:
        """Balance of every case.

        load (cases, freedoms) [N, N m]: generalised load.
        rise (cases, supports): how far each support stands up towards the body.
        two_way, one_way (cases, supports): supports that push and pull, and supports that only push. One in
            neither is left out.
        size (cases,): force against which "zero" is judged.
        Result: motions, loads and the cases that have no balance.
        Raises ArithmeticError if the search does not settle, which 200 000 random loads of random drills
            never caused.

        Energy: sum of 1/2 k max(0, press)^2 over one-way supports and 1/2 k press^2 over two-way ones, less
        the work of the load. Its gradient is the unbalanced load.
        Range: any.
        Source: derivation above.
        """
        load = load / self.unit
        size = np.where(size > 1e-100, size, 1.0)  # no load at all, or too small for its square
        cases, freedoms = load.shape
        motion = np.zeros((cases, freedoms))
        escape = np.zeros((cases, freedoms))
        held = np.ones(cases, dtype=bool)
        todo = np.arange(cases)
        for _ in range(_STEPS):
            if todo.size == 0:
                break
            found, lost, motion[todo], way = self._step(
                motion[todo], load[todo], rise[todo], two_way[todo], one_way[todo], size[todo]
            )
            held[todo[lost]] = False
            escape[todo[lost]] = way[lost]
            todo = todo[~(found | lost)]
        else:
            raise ArithmeticError(
                f"the balance of {todo.size} case(s) did not settle in {_STEPS} steps; "
                "look for supports that nearly coincide, or stiffnesses more than a millionfold apart."
            )
        active, contact_load = self._exact_load(motion, load, rise, two_way, one_way)
        contact_load[~held] = np.nan
        return ContactState(motion / self.unit, contact_load, active, held, escape / self.unit)

    def _factors(self, active):
        """Inverse of the stiffness matrix and projector on the free motions, for each case's contact set."""
        packed = np.ascontiguousarray(np.packbits(active, axis=1))
        if len(packed) == 1:
            inverse, free = self._factor(packed.tobytes(), active[0])
            return inverse[None], free[None]
        keys = packed.view(np.dtype((np.void, packed.shape[1]))).ravel()
        sets, first, where = np.unique(keys, return_index=True, return_inverse=True)
        pairs = [self._factor(key.tobytes(), active[i]) for key, i in zip(sets, first, strict=True)]
        inverse, free = (np.array(part) for part in zip(*pairs, strict=True))
        return inverse[where.ravel()], free[where.ravel()]

    def _factor(self, key, active):
        if key not in self._known:
            rows = np.sqrt(self.stiffness)[:, None] * self.reach * active[:, None]
            _, strength, modes = np.linalg.svd(rows, full_matrices=True)
            strength = np.pad(strength, (0, modes.shape[0] - strength.size))
            stiff = strength > _RANK * np.sqrt(np.max(self.stiffness))
            held, loose = modes[stiff], modes[~stiff]
            self._known[key] = ((held.T / strength[stiff] ** 2) @ held, loose.T @ loose)
        return self._known[key]

    def _step(self, motion, load, rise, two_way, one_way, size):
        """One step: along a free motion that the load drives, else a Newton step."""
        press = motion @ self.reach.T + rise
        active = two_way | (one_way & (press > 0))
        unbalanced = load - (self.stiffness * press * active) @ self.reach
        inverse, free = self._factors(active)
        drift = np.einsum("cij,cj->ci", free, unbalanced)
        loose = np.max(np.abs(drift), axis=1) > _BALANCE * size
        way = np.where(loose[:, None], drift, np.einsum("cij,cj->ci", inverse, unbalanced))
        speed = way @ self.reach.T
        # A free motion does not move the supports in contact; rounding must not say it does.
        speed[loose[:, None] & active] = 0.0
        least = np.where(loose, _STILL, 1e-13) * np.max(np.abs(way), axis=1)
        speed[np.abs(speed) < least[:, None]] = 0.0
        lost = loose & ~np.any(one_way & (speed > 0), axis=1)

        full = motion + way
        reached = full @ self.reach.T + rise
        now = two_way | (one_way & (reached > 0))
        left = load - (self.stiffness * reached * now) @ self.reach
        # Rounding of a very stiff support's press is a force too; _exact_load takes it out in the end.
        rounding = np.max(self.stiffness * now * (np.abs(full) @ np.abs(self.reach).T), axis=1)
        quiet = np.max(np.abs(left), axis=1) <= 1e-13 * size + 1e-14 * rounding
        found = ~loose & (np.all(now == active, axis=1) | quiet)

        go_on = ~(lost | found)
        new = np.where(found[:, None], full, motion)
        if not go_on.any():
            return found, lost, new, way
        length, endless = self._line_minimum(press, speed, np.sum(unbalanced * way, axis=1), two_way, one_way)
        new[go_on] = (motion + length[:, None] * way)[go_on]
        lost |= go_on & endless
        return found, lost, new, way

    def _line_minimum(self, press, speed, drive, two_way, one_way):
        """Length along the step at which the energy is least, exactly; and whether it falls for ever."""
        with np.errstate(divide="ignore", invalid="ignore"):
            breaks = np.where(one_way & (press * speed < 0), -press / speed, 0.0)

        start = np.where(two_way, press, np.maximum(press, 0.0) * one_way)

        # Changes since the start of the step: whole sums would drown a small unbalanced load in rounding.
        def slope(length):
            at = press[:, None, :] + length[:, :, None] * speed[:, None, :]
            acting = np.where(two_way[:, None, :], at, np.maximum(at, 0.0) * one_way[:, None, :])
            return (acting - start[:, None, :]) @ (self.stiffness * speed)[:, :, None]

        fall = slope(breaks)[:, :, 0] - drive[:, None]
        low = np.max(np.where(fall < 0, breaks, 0.0), axis=1)
        high = np.min(np.where((fall >= 0) & (breaks > low[:, None]), breaks, np.inf), axis=1)
        at_low = slope(low[:, None])[:, 0, 0] - drive
        middle = np.where(np.isfinite(high), 0.5 * (low + high), 2 * low + 1.0)
        acting = two_way | (one_way & (press + middle[:, None] * speed > 0))
        growth = np.sum(self.stiffness * speed**2 * acting, axis=1)
        endless = (growth == 0) & (at_low < 0)
        with np.errstate(divide="ignore", invalid="ignore"):
            length = np.where(growth > 0, low - at_low / growth, low)
        return length, endless

    def _exact_load(self, motion, load, rise, two_way, one_way):
        """Loads refined as forces, so that a very stiff hitch does not spoil the balance by rounding."""
        press = motion @ self.reach.T + rise
        active = two_way | (one_way & (press > 0))
        contact_load = self.stiffness * press * active
        inverse, _ = self._factors(active)
        for _ in range(3):
            unbalanced = load - contact_load @ self.reach
            change = np.einsum("cij,cj->ci", inverse, unbalanced)
            contact_load = contact_load + self.stiffness * (change @ self.reach.T) * active
        return active, np.where(two_way, contact_load, np.maximum(contact_load, 0.0))
