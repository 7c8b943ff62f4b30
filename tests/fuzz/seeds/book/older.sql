PRAGMA user_version = 5;
