"""What one row of the workshop is."""

from shop.models.access import AccessEntry, RecoveryCode, SecondFactor
from shop.models.build import (
    FINISHED_STATES,
    OPEN_STATES,
    Batch,
    Build,
    BuildDraw,
    BuildLine,
    BuildNote,
    BuildStage,
    BuildState,
    LostDays,
    OldSheet,
)
from shop.models.calendar import DayOff, Preference, WorkingWeek
from shop.models.device import Device, PairingCode
from shop.models.estimates import EstimateSettings, RelatedTemplate, StageAlias
from shop.models.hours import BuildHours, TimeCorrection, TimeEntry, TimeShare
from shop.models.queue import (
    CalendarLink,
    OtherHands,
    PromisedDay,
    QueueForecast,
    QueuePlace,
    QueueSettings,
    ShopThing,
    StageWindow,
    ThingUse,
)
from shop.models.setting_up import Measure, SetUpReading
from shop.models.template import (
    BuildTemplate,
    TemplateFailure,
    TemplateLine,
    TemplateOption,
    TemplateSpec,
    TemplateStage,
    WasteRule,
)

__all__ = [
    "FINISHED_STATES",
    "OPEN_STATES",
    "AccessEntry",
    "Batch",
    "Build",
    "BuildDraw",
    "BuildHours",
    "BuildLine",
    "BuildNote",
    "BuildStage",
    "BuildState",
    "BuildTemplate",
    "CalendarLink",
    "DayOff",
    "Device",
    "EstimateSettings",
    "LostDays",
    "Measure",
    "OldSheet",
    "OtherHands",
    "PairingCode",
    "Preference",
    "PromisedDay",
    "QueueForecast",
    "QueuePlace",
    "QueueSettings",
    "RecoveryCode",
    "RelatedTemplate",
    "SecondFactor",
    "SetUpReading",
    "ShopThing",
    "StageAlias",
    "StageWindow",
    "TemplateFailure",
    "TemplateLine",
    "TemplateOption",
    "TemplateSpec",
    "TemplateStage",
    "ThingUse",
    "TimeCorrection",
    "TimeEntry",
    "TimeShare",
    "WasteRule",
    "WorkingWeek",
]
