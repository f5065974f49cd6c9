"""Plans to store: one in which every field is set, and a short chain of work."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal

from ribstitch.planning.model import (
    Baseline,
    BudgetLine,
    Calendar,
    Contact,
    Cost,
    CostStep,
    Crew,
    CrewLink,
    CrewLinkKind,
    Decision,
    Due,
    DueAt,
    EarningRule,
    ExchangeRate,
    Expedite,
    ExpediteKind,
    Funding,
    HoursWorked,
    LagOn,
    Link,
    Milestone,
    OutOfSequence,
    OverAndAbove,
    Package,
    PastJob,
    Payment,
    Place,
    Plan,
    Project,
    RateFrom,
    Relation,
    Risk,
    SendOut,
    SendOutKind,
    SendOutStatus,
    Source,
    State,
    Task,
    TaskStatus,
    Vendor,
    WorkShape,
    Zone,
)
from ribstitch.store import Person

DAY = 1440
AT = datetime(2026, 1, 9, 16, 30, tzinfo=UTC)
LEAD = Person("Ada", "lead")
PLANNER = Person("Bo", "planner")


def short_plan() -> Plan:
    """
    Return three tasks in a row and an item that is away between two of them.

    Opening up takes Mon 5 to Wed 7 January 2026, the vendor has the item from then on, and
    closing up follows its return; painting hangs on nothing else and has float.
    """
    return Plan(
        project=Project(date(2026, 1, 5), date(2026, 1, 9), name="Trial", currency="EUR"),
        calendars=(Calendar("shop"),),
        zones=(Zone("tail", "Tail"),),
        tasks=(
            Task("open", 3 * DAY, "Open up", zone="tail", trade="metal", hazards=("dope",)),
            Task("close", 2 * DAY, "Close up", zone="tail", trade="metal"),
            Task("paint", 1 * DAY, "Paint", zone="tail", trade="paint"),
        ),
        links=(Link("open", "close"), Link("open", "paint", lag=DAY)),
        vendors=(Vendor("V1", "Fin Works"), Vendor("V2", "Other Works")),
        send_outs=(
            SendOut(
                "S1",
                "V1",
                "Fin spar",
                after=("open",),
                before=("close",),
                prepare=DAY,
                ship_out=2 * DAY,
                lead=10 * DAY,
                ship_back=2 * DAY,
                accept=DAY,
            ),
        ),
        crew=(Crew("metal", 1, label="Metalworker 1"),),
    )


def full_plan() -> Plan:
    """Return a plan in which every field of every kind of thing is set."""
    return Plan(
        project=Project(
            start=date(2026, 1, 5),
            as_of=date(2026, 3, 2),
            name="Whole – «ß» 東",
            aircraft="Two-seat amphibian",
            serial="007",
            currency="GBP",
            calendar="shop",
            target_finish=date(2027, 1, 1),
            out_of_sequence=OutOfSequence.CARRY_ON,
            work_shape=WorkShape.TRIANGULAR,
            zone_spread=0.1 + 0.2,
            trade_spread=0.0,
            standing_per_month=Decimal("1450.50"),
            balance=Decimal("-12.50"),
            balance_on=date(2026, 1, 7),
            health_limits=(("lags", 0.1 + 0.2), ("long_task_days", 30.0)),
        ),
        calendars=(
            Calendar(
                "shop",
                7.5,
                (7.5, 7.5, 7.5, 7.5, 3.75, 0.0, 0.0),
                "GB-ENG",
                ((date(2026, 8, 3), date(2026, 8, 14)),),
                ((date(2026, 5, 9), 4.0),),
                name="The shop",
            ),
            Calendar("elapsed", elapsed=True, name="Elapsed time"),
        ),
        zones=(Zone("tail", "Tail", 62.5, "T2"), Zone("bow")),
        tasks=(
            Task(
                "T2",
                3 * DAY,
                "Open up",
                "tail",
                "55",
                "shop",
                (2 * DAY, 3 * DAY, 6 * DAY),
                "metal",
                2,
                ("jig", "booth"),
                date(2026, 1, 6),
                date(2026, 4, 1),
                None,
                TaskStatus(State.HELD, date(2026, 1, 7), None, DAY, "no rivets", date(2026, 3, 9)),
                "finding F1",
                ("dope", "noise"),
                "Mind the skin.",
            ),
            Task("T1", 0, "Covered", milestone=Milestone.START),
            Task("T3", DAY, status=TaskStatus(State.DONE, date(2026, 1, 5), date(2026, 1, 5))),
            Task("T4", DAY, status=TaskStatus(State.DROPPED)),
            Task("T5", 1),
        ),
        links=(
            Link("T2", "T1", Relation.FINISH_FINISH, -DAY // 2, LagOn.ELAPSED),
            Link("T2", "T5", Relation.START_START, 3 * DAY),
            Link("T2", "T5", Relation.START_START, 4 * DAY),
        ),
        kinds=(
            SendOutKind("fin", 1.15, 1.7, "Fins", 0.125, 1.1, 1.4),
            SendOutKind("spar", 1.0, 1.0),
        ),
        vendors=(
            Vendor(
                "V1",
                "Fin Works",
                "shop",
                "CAD",
                "CA",
                (
                    PastJob(
                        "fin",
                        90.5,
                        128.25,
                        date(2020, 2, 29),
                        2,
                        101.5,
                        Decimal("1200.50"),
                        Decimal(1380),
                    ),
                    PastJob("fin", 1, 2),
                ),
            ),
            Vendor("V2"),
        ),
        send_outs=(
            SendOut(
                "S1/2", "V1", trip_of="S1", lead=5 * DAY, notes="again", source=Source.OVERHAUL
            ),
            SendOut(
                "S1",
                "V1",
                "Fin",
                "fin",
                Source.OVERHAUL,
                ("T3",),
                ("T1", "T5"),
                None,
                prepare=DAY,
                ship_out=2 * DAY,
                customs_out=3 * DAY,
                intake=4 * DAY,
                approval=5 * DAY,
                lead=6 * DAY,
                ship_back=7 * DAY,
                customs_back=8 * DAY,
                accept=9 * DAY,
                return_leg=10,
                status=SendOutStatus(
                    date(2026, 1, 6),
                    date(2026, 1, 7),
                    date(2026, 1, 8),
                    date(2026, 1, 9),
                    date(2026, 1, 10),
                    date(2026, 1, 11),
                    date(2026, 1, 12),
                    rejected=date(2026, 1, 20),
                    returned=date(2026, 1, 21),
                ),
                contacts=(Contact(date(2026, 1, 15), "silent"), Contact(date(2026, 2, 1))),
            ),
            SendOut("S2", "V2", source=Source.PATTERN, dropped=True),
        ),
        crew=(
            Crew(
                "help",
                2,
                "shop",
                "Volunteer 1",
                Decimal("12.50"),
                (RateFrom(date(2026, 6, 1), Decimal("13.00")),),
            ),
            Crew("help", 1, None, "Volunteer 2"),
            Crew("help#2", 1),
        ),
        places=(Place("booth", 3, "Spray booth"), Place("jig")),
        crew_links=(
            CrewLink("T2", "T5", CrewLinkKind.PLACE, ("jig",), 2),
            CrewLink("T3", "T2", names=("metal", "help")),
        ),
        expedites=(
            Expedite(
                "E2",
                2 * DAY,
                Decimal("80.50"),
                "Saturdays",
                ExpediteKind.OVERTIME,
                "EUR",
                task="T2",
                by_the_day=True,
                taken=DAY,
            ),
            Expedite("E1", DAY, Decimal(0), send_out="S1", leg="ship_out"),
        ),
        risks=(
            Risk(
                "R1", "Corrosion", "T5", None, 0.1 + 0.2, 5 * DAY, (DAY, 5 * DAY, 9 * DAY), "sheet"
            ),
            Risk("R2", send_out="S1"),
            Risk("R3", closed=True),
        ),
        costs=(
            Cost(
                "C1",
                Decimal("12345678901234567.891"),
                "CZK",
                "Price",
                "vendor",
                "paid",
                date(2026, 2, 2),
                "55",
                "T5",
                "S1",
                "invoice 17",
                (CostStep("quoted", Decimal("1.50"), date(2026, 1, 6), "quote 3"),),
                (Payment(date(2026, 2, 1), Decimal("0.10"), "a pattern"),),
                (
                    Due(Decimal("30.5"), DueAt.ORDER, 14),
                    Due(Decimal("69.5"), on=date(2026, 3, 1)),
                ),
            ),
            Cost("C2", Decimal("0.10"), "EUR"),
        ),
        budget=(
            BudgetLine("55", Decimal("1.10"), "GBP", "labour", "labour"),
            BudgetLine("55", Decimal("2.2"), "GBP", "material"),
        ),
        exchange_rates=(
            ExchangeRate("CZK", date(2026, 1, 5), Decimal("0.0340")),
            ExchangeRate("CZK", date(2026, 2, 1), Decimal("0.034012")),
        ),
        hours=(
            HoursWorked("H1", "T2", date(2026, 1, 7), Decimal("7.25"), "help", "Volunteer 1"),
            HoursWorked("H2", "T2", date(2026, 1, 8), Decimal("0.5")),
        ),
        funding=(
            Funding("M1", date(2026, 2, 1), Decimal("900.00"), "Shares", 3, date(2027, 2, 1)),
            Funding("M2", date(2026, 3, 1), Decimal("0.10")),
        ),
        baselines=(
            Baseline(
                "B1",
                date(2026, 1, 5),
                date(2027, 1, 5),
                "agreed",
                (
                    Package(
                        "T2",
                        Decimal("10.20"),
                        date(2026, 1, 6),
                        date(2026, 2, 6),
                        EarningRule.HALF_AND_HALF,
                        "55",
                    ),
                    Package("T5", Decimal("0.05"), date(2026, 1, 6), date(2026, 1, 6)),
                ),
            ),
        ),
        over_and_above=(
            OverAndAbove(
                "O1",
                "Spar cap eaten",
                date(2026, 1, 7),
                Decimal("310.00"),
                "GBP",
                Decimal(46),
                "55",
                "T2",
                "S1",
                Decision.APPROVED,
                date(2026, 1, 8),
                "Owner",
                "it must fly",
            ),
            OverAndAbove("O2", "A second cap", date(2026, 1, 9)),
        ),
    )
