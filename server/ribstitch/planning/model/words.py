"""Closed sets of words that a plan chooses from."""

from __future__ import annotations

from enum import StrEnum


class Relation(StrEnum):
    """How a link ties two activities."""

    FINISH_START = "FS"
    START_START = "SS"
    FINISH_FINISH = "FF"
    START_FINISH = "SF"


class LagOn(StrEnum):
    """Whether a lag counts the successor's working days or elapsed days."""

    WORK = "work"
    ELAPSED = "elapsed"


class State(StrEnum):
    """Where a task stands at the as-of date."""

    NOT_STARTED = "not_started"
    IN_WORK = "in_work"
    HELD = "held"
    DONE = "done"
    DROPPED = "dropped"

    @property
    def is_open(self) -> bool:
        """Whether there is still something to do: neither done nor dropped."""
        return self not in {State.DONE, State.DROPPED}


class Milestone(StrEnum):
    """Which event a task without duration marks."""

    START = "start"
    FINISH = "finish"


class OutOfSequence(StrEnum):
    """What work that began too early does about its unfinished predecessors."""

    WAIT = "wait"
    CARRY_ON = "carry_on"


class WorkShape(StrEnum):
    """How work is spread between low, likely and high."""

    PERT = "pert"
    TRIANGULAR = "triangular"


class CrewLinkKind(StrEnum):
    """What one task gives up to another."""

    TRADE = "trade"
    PLACE = "place"


class ExpediteKind(StrEnum):
    """How days are bought."""

    OVERTIME = "overtime"
    SECOND_SHIFT = "second_shift"
    FEE = "fee"
    """The vendor takes the item before others."""
    AIR_FREIGHT = "air_freight"
    EXCHANGE_UNIT = "exchange_unit"
    OTHER = "other"


class DueAt(StrEnum):
    """When a part of a price falls due."""

    ORDER = "order"
    APPROVED = "approved"
    LEFT_VENDOR = "left_vendor"
    ACCEPTED = "accepted"
    DATE = "date"


class Decision(StrEnum):
    """What the owner said to work found after the price was agreed."""

    WAITING = "waiting"
    APPROVED = "approved"
    DECLINED = "declined"


class EarningRule(StrEnum):
    """When the budget of a package counts as earned."""

    ALL_AT_END = "all_at_end"
    HALF_AND_HALF = "half_and_half"
    WORK_DONE = "work_done"
    LEGS = "legs"
    """A send-out: by the time that its legs were to take, as far as they are over."""
    TIME = "time"
    """What comes with time alone, such as rent."""


class Source(StrEnum):
    """How an item comes back to the shop."""

    OVERHAUL = "overhaul"
    """It leaves and the same item comes back."""
    EXCHANGE = "exchange"
    """Another unit comes; the worn core follows later and must reach the vendor."""
    IN_HAND = "in_hand"
    """The part is on the shelf: at most it is accepted."""
    PATTERN = "pattern"
    """A pattern is lent out, a new part comes, and the pattern must come back."""


class Authenticity(StrEnum):
    """Whether what was found belongs to the aircraft as it was built."""

    ORIGINAL = "original"
    PERIOD_CHANGE = "period_change"
    LATER_CHANGE = "later_change"
    UNKNOWN = "unknown"


class EvidenceRung(StrEnum):
    """What a decision on form rests on, the strongest first (common practice, no source)."""

    FACTORY_DRAWING = "factory_drawing"
    FACTORY_PHOTO = "factory_photo"
    TRACE = "trace"
    """A trace on this airframe."""
    SISTER_AIRCRAFT = "sister_aircraft"
    MAKERS_PRACTICE = "makers_practice"
    OPINION = "opinion"


class Treatment(StrEnum):
    """What is decided for a finding."""

    KEEP = "keep"
    CONSERVE = "conserve"
    """Clean and stabilise; nothing is altered."""
    REPAIR = "repair"
    OVERHAUL = "overhaul"
    REPLACE = "replace"
    REPRODUCE = "reproduce"
    """Made new after a pattern or a drawing."""
    RESTORE = "restore"
    """Later work is removed, and the type's own configuration put back."""
    RE_COVER = "re_cover"
    RE_WIRE = "re_wire"
    REPLATE = "replate"


class CheckKind(StrEnum):
    """What has to be settled before a task counts as done."""

    HOLD = "hold"
    """Evidence has to be attached."""
    BUY_OFF = "buy_off"
    """The inspector accepts the stage."""
    WITNESS = "witness"
    """Somebody watches the test and says how it went."""
