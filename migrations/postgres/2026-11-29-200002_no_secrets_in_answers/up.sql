-- Answers that hold a secret are not kept any more; those that were are taken out.
UPDATE repeats SET state = 'shown', status = NULL, headers = NULL, body = NULL
WHERE state = 'answered' AND status < 300 AND (
    headers LIKE '%"/v1/keys/%'
    OR headers LIKE '%/v1/calendars/%'
    OR encode(body, 'escape') LIKE '%"whsec_%'
    OR encode(body, 'escape') LIKE '%"fizz_%'
);
