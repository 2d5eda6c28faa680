from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [
        ("lessons", "0008_milestones_carry_a_version"),
    ]

    operations = [
        migrations.RemoveField(
            model_name="coverlink",
            name="ends_at",
        ),
    ]
