from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("school", "0007_what_is_said_of_photographs")]

    operations = [
        migrations.RenameField("invitation", "token_hash", "secret_hash"),
        migrations.RenameField("firststartcode", "token_hash", "secret_hash"),
    ]
