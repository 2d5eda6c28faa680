import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("curriculum", "0004_music"),
        ("lessons", "0017_course_pages_for_the_wall"),
    ]

    operations = [
        migrations.AddField(
            model_name="sheetsegment",
            name="piece",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.SET_NULL,
                related_name="+",
                to="curriculum.piece",
            ),
        ),
    ]
