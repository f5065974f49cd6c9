"""All texts that a reader of the sheets sees, out of the pages, their modules and the service."""

from tools.catalogue.glossary import glossary_texts
from tools.catalogue.pages import page_texts
from tools.catalogue.plan_words import plan_words
from tools.catalogue.scripts import script_texts, unmarked
from tools.catalogue.sentences import sentences
from tools.catalogue.tables import table_texts
from tools.catalogue.text import Text

__all__ = [
    "Text",
    "glossary_texts",
    "page_texts",
    "plan_words",
    "script_texts",
    "sentences",
    "table_texts",
    "unmarked",
]
