//! The tables, as the migrations make them.

diesel::table! {
    sites (id) {
        id -> Text,
        revision -> BigInt,
        document -> Text,
        changed_at -> Timestamp,
    }
}

diesel::table! {
    setup_revisions (site, revision) {
        site -> Text,
        revision -> BigInt,
        document -> Text,
        created_at -> Timestamp,
    }
}

diesel::table! {
    demand (site, id) {
        site -> Text,
        id -> Text,
        product -> Text,
        due -> Timestamp,
        litres -> Double,
        priority -> Integer,
        kind -> Text,
        note -> Nullable<Text>,
        changed_at -> Timestamp,
    }
}

diesel::table! {
    stock_entries (seq) {
        seq -> BigInt,
        site -> Text,
        reference -> Text,
        at -> Timestamp,
        kind -> Text,
        document -> Text,
        recorded_at -> Timestamp,
    }
}

diesel::table! {
    plans (id) {
        id -> Text,
        site -> Text,
        state -> Text,
        setup_revision -> BigInt,
        request -> Text,
        scenario -> Text,
        result -> Nullable<Text>,
        failure -> Nullable<Text>,
        progress -> Text,
        cancel_requested -> Bool,
        attempts -> Integer,
        lease_owner -> Nullable<Text>,
        lease_until -> Nullable<Timestamp>,
        created_at -> Timestamp,
        started_at -> Nullable<Timestamp>,
        finished_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    api_keys (id) {
        id -> Text,
        hash -> Text,
        name -> Text,
        scopes -> Text,
        sites -> Nullable<Text>,
        created_at -> Timestamp,
        expires_at -> Nullable<Timestamp>,
        revoked_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    people (id) {
        id -> Text,
        name -> Text,
        password -> Text,
        scopes -> Text,
        sites -> Nullable<Text>,
        created_at -> Timestamp,
    }
}

diesel::table! {
    sessions (id) {
        id -> Text,
        hash -> Text,
        person -> Text,
        expires_at -> Timestamp,
    }
}

diesel::table! {
    audit (seq) {
        seq -> BigInt,
        at -> Timestamp,
        actor_kind -> Text,
        actor_id -> Text,
        actor -> Text,
        operation -> Text,
        method -> Text,
        path -> Text,
        site -> Nullable<Text>,
        request_id -> Text,
    }
}

diesel::table! {
    repeats (actor, key) {
        actor -> Text,
        key -> Text,
        fingerprint -> Text,
        state -> Text,
        status -> Nullable<Integer>,
        headers -> Nullable<Text>,
        body -> Nullable<Binary>,
        begun_at -> Timestamp,
    }
}

diesel::table! {
    codes (site) {
        site -> Text,
        revision -> BigInt,
        document -> Text,
        changed_at -> Timestamp,
    }
}
