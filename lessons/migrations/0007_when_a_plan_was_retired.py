from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("lessons", "0006_changed_sheets_and_private_lessons")]

    operations = [
        migrations.AddField(
            model_name="termplan",
            name="retired_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
    ]
