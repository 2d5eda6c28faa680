from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("lessons", "0007_when_a_plan_was_retired"),
    ]

    operations = [
        migrations.AddField(
            model_name="milestone",
            name="version",
            field=models.PositiveIntegerField(default=1, editable=False),
        ),
    ]
