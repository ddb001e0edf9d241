DROP TABLE webhook_deliveries;
DROP TABLE webhooks;
