PRAGMA application_id = 0;
