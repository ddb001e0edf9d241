DROP TABLE calendars;
