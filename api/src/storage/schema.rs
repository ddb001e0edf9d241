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
    stock_books (site, at, seq) {
        site -> Text,
        at -> Timestamp,
        seq -> BigInt,
        document -> Text,
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
        created_at -> Timestamp,
        started_at -> Nullable<Timestamp>,
        finished_at -> Nullable<Timestamp>,
        kind -> Text,
        parent -> Nullable<Text>,
        question -> Nullable<Text>,
        answer -> Nullable<Text>,
        caller -> Nullable<Text>,
        renewals -> BigInt,
        deaths -> Integer,
    }
}

diesel::table! {
    queue_turns (site, caller) {
        site -> Text,
        caller -> Text,
        turn -> BigInt,
    }
}

diesel::table! {
    publications (site, number) {
        site -> Text,
        number -> BigInt,
        plan -> Text,
        published_by -> Nullable<Text>,
        published_at -> Timestamp,
        withdrawn_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    work_states (plan, item) {
        plan -> Text,
        item -> Text,
        state -> Text,
        started_at -> Nullable<Timestamp>,
        ended_at -> Nullable<Timestamp>,
        out_until -> Nullable<Timestamp>,
        told_by -> Nullable<Text>,
        note -> Nullable<Text>,
        recorded_at -> Timestamp,
        kegs -> Nullable<Text>,
    }
}

diesel::table! {
    readings (id) {
        id -> Text,
        site -> Text,
        plan -> Text,
        item -> Text,
        kind -> Text,
        value -> Double,
        unit -> Text,
        at -> Timestamp,
        told_by -> Nullable<Text>,
        subject -> Nullable<Text>,
        note -> Nullable<Text>,
        recorded_at -> Timestamp,
    }
}

diesel::table! {
    event_counter (id) {
        id -> BigInt,
        last -> BigInt,
        pruned_to -> BigInt,
    }
}

diesel::table! {
    pruning (id) {
        id -> BigInt,
        open -> Bool,
    }
}

diesel::table! {
    event_gaps (lost_after) {
        lost_after -> BigInt,
        lost_until -> BigInt,
        at -> Timestamp,
    }
}

diesel::table! {
    events (seq) {
        seq -> BigInt,
        site -> Text,
        kind -> Text,
        at -> Timestamp,
        document -> Text,
    }
}

diesel::table! {
    commitments (id) {
        id -> Text,
        site -> Text,
        standing -> Text,
        basis -> BigInt,
        held_until -> Nullable<Timestamp>,
        demand -> Nullable<Text>,
    }
}

diesel::allow_tables_to_appear_in_same_query!(commitments, plans);

diesel::table! {
    webhooks (id) {
        id -> Text,
        url -> Text,
        secret -> Text,
        site -> Nullable<Text>,
        kinds -> Text,
        note -> Nullable<Text>,
        last_seq -> BigInt,
        failing_since -> Nullable<Timestamp>,
        disabled_at -> Nullable<Timestamp>,
        disabled_why -> Nullable<Text>,
        created_at -> Timestamp,
        made_by -> Nullable<Text>,
    }
}

diesel::table! {
    webhook_deliveries (id) {
        id -> Text,
        webhook -> Text,
        seq -> BigInt,
        state -> Text,
        attempts -> Integer,
        next_at -> Nullable<Timestamp>,
        last_at -> Nullable<Timestamp>,
        last_code -> Nullable<Integer>,
        last_error -> Nullable<Text>,
        created_at -> Timestamp,
    }
}

diesel::table! {
    calendars (id) {
        id -> Text,
        site -> Text,
        crew_role -> Nullable<Text>,
        note -> Nullable<Text>,
        secret_hash -> Text,
        created_at -> Timestamp,
        made_by -> Nullable<Text>,
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
        ends_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    sessions (id) {
        id -> Text,
        hash -> Text,
        person -> Text,
        expires_at -> Timestamp,
        begun_at -> Nullable<Timestamp>,
        seen_at -> Nullable<Timestamp>,
        address -> Nullable<Text>,
        agent -> Nullable<Text>,
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
        refused -> Nullable<Text>,
        times -> BigInt,
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
        owner -> Nullable<Text>,
    }
}

diesel::table! {
    assumed (site) {
        site -> Text,
        document -> Text,
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
diesel::allow_tables_to_appear_in_same_query!(webhook_deliveries, webhooks);

diesel::table! {
    sign_in_places (person, kind, hash) {
        person -> Text,
        kind -> Text,
        hash -> Text,
        seen_at -> Timestamp,
    }
}
