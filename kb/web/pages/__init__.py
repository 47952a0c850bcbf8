"""What each page shows: functions of a question (`kb.web.asking.Ask`) that give a template and its values."""
