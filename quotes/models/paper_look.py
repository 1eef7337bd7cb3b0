"""How this shop's papers look: one row, used whenever a paper is laid out."""

from django.db import models


class PaperLook(models.Model):
    """Logo, face and colour of papers for clients. There is at most one row."""

    class Face(models.TextChoices):
        """What names and headings are set in."""

        SERIF = "serif", "serif"
        SANS = "sans", "sans serif"

    INK = "#1d1a16"

    logo = models.ImageField(upload_to="papers/", blank=True)
    face = models.CharField("headings in", max_length=5, choices=Face.choices, default=Face.SERIF)
    accent = models.CharField(
        "colour of headings",
        max_length=7,
        default=INK,
        help_text="Dark enough to read on white. Red, green, blue in hexadecimal: #1d4e5f.",
    )

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(pk=1), name="one_paper_look")]

    def __str__(self) -> str:
        return "look of papers"
