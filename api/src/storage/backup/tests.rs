use super::*;
use crate::domain::Refusal;
use crate::domain::access::{NewKey, Token};
use crate::domain::events::{EventData, EventKind};
use crate::domain::time;
use crate::storage::pool::tests::fresh;
use crate::storage::{Store, demand, events, keys, sites};

fn copy_of(dir: &tempfile::TempDir) -> (PathBuf, PathBuf) {
    (
        dir.path().join("test.sqlite"),
        dir.path().join("it's a copy"),
    )
}

fn left(dir: &tempfile::TempDir) -> Vec<String> {
    let entries = fs::read_dir(dir.path()).unwrap();
    let names = entries.map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned());
    names.filter(|name| name.contains("unfinished")).collect()
}

fn key(store: &Store) -> NewKey {
    let key = NewKey::first(time::now()).unwrap();
    store.write_now(|conn| keys::insert(conn, &key)).unwrap();
    key
}

fn works(store: &Store, token: &Token) -> bool {
    let found = store.read_now(|conn| keys::recognise(conn, token, time::now()));
    found.unwrap().is_some()
}

#[test]
fn a_copy_is_put_back_under_a_running_service() {
    let (dir, store) = fresh();
    let (database, copy) = copy_of(&dir);
    let site = scheduler::sample::fixed().site;
    store
        .write_now(|conn| -> Result<_, StorageError> {
            sites::insert(conn, &site)?;
            demand::upsert(conn, &site.id, &scheduler::sample::fixed().demand[0])
        })
        .unwrap();
    backup(&database, &copy).unwrap();
    let made = key(&store);
    let ended = restore(&copy, &database, Unknown::End).unwrap();
    assert_eq!(ended.keys_left, 0);
    // The store was open all the time.
    assert!(!store.read_now(keys::any).unwrap());
    assert_eq!(store.read_now(sites::list).unwrap(), [site]);
    store.write_now(|conn| keys::insert(conn, &made)).unwrap();
    assert_eq!(left(&dir), [""; 0]);
}

#[test]
fn what_is_no_copy_is_refused_and_changes_nothing() {
    let (dir, store) = fresh();
    let (database, _) = copy_of(&dir);
    let site = scheduler::sample::fixed().site;
    store.write_now(|conn| sites::insert(conn, &site)).unwrap();
    let put = |from: &Path| restore(from, &database, Unknown::End);
    let text = dir.path().join("notes");
    fs::write(&text, "not a database at all, only a text").unwrap();
    assert!(put(&text).is_err());
    let other = dir.path().join("other.sqlite");
    fs::write(&other, "").unwrap();
    assert!(put(&other).is_err());
    let mut conn = file::look_into(&other).unwrap();
    conn.batch_execute("CREATE TABLE notes (text TEXT)")
        .unwrap();
    drop(conn);
    let refused = put(&other).unwrap_err().to_string();
    assert!(refused.contains("not one of Fizzwright's"), "{refused}");
    assert!(put(&dir.path().join("nothing")).is_err());
    assert_eq!(store.read_now(sites::list).unwrap(), [site]);
    let nowhere = dir.path().join("new.sqlite");
    assert!(restore(&text, &nowhere, Unknown::End).is_err());
    assert!(!nowhere.exists());
    assert_eq!(left(&dir), [""; 0]);
}

#[test]
fn keys_that_do_not_work_now_do_not_work_afterwards() {
    let (dir, store) = fresh();
    let (database, copy) = copy_of(&dir);
    let (stays, revoked) = (key(&store), key(&store));
    backup(&database, &copy).unwrap();
    let id = revoked.token.id.clone().try_into().unwrap();
    store.write_now(|conn| keys::revoke(conn, &id)).unwrap();
    let ended = restore(&copy, &database, Unknown::Keep).unwrap();
    assert_eq!((ended.keys, ended.keys_left), (1, 1));
    assert!(works(&store, &stays.token));
    assert!(!works(&store, &revoked.token));
    // Of a database that is lost, nothing is known.
    for (unknown, kept) in [(Unknown::End, false), (Unknown::Keep, true)] {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("new.sqlite");
        let store = Store::open(&crate::storage::DatabaseUrl::File(path.clone())).unwrap();
        let own = key(&store);
        restore(&copy, &path, unknown).unwrap();
        assert_eq!(works(&store, &stays.token), kept);
        assert!(!works(&store, &own.token));
    }
}

#[test]
fn numbers_of_events_are_not_given_again() {
    let (dir, store) = fresh();
    let (database, copy) = copy_of(&dir);
    let site = scheduler::sample::fixed().site.id;
    let tell = || {
        let data = EventData::default();
        store
            .write_now(|conn| events::append(conn, &site, EventKind::SiteChanged, &data))
            .unwrap()
    };
    let follows = |after: i64| store.read_now(|conn| events::follows(conn, after));
    assert_eq!((tell(), tell()), (1, 2));
    backup(&database, &copy).unwrap();
    assert_eq!((tell(), tell()), (3, 4));
    restore(&copy, &database, Unknown::End).unwrap();
    for known in [0, 1, 2] {
        follows(known).unwrap();
    }
    for undone in [3, 4] {
        let told = follows(undone).unwrap_err();
        assert!(
            matches!(told, Refusal::EventsGone { resume: 2, .. }),
            "{told}"
        );
    }
    assert_eq!(store.read_now(events::latest).unwrap(), 2);
    assert_eq!(tell(), 5);
    follows(5).unwrap();
    // Once more the same copy: what is undone now is told too.
    restore(&copy, &database, Unknown::End).unwrap();
    assert!(follows(5).is_err() && follows(3).is_err());
    assert_eq!(tell(), 6);
    // How far a lost database had come is not known.
    let new = dir.path().join("new.sqlite");
    restore(&copy, &new, Unknown::End).unwrap();
    let new = Store::open(&crate::storage::DatabaseUrl::File(new)).unwrap();
    assert!(new.read_now(|conn| events::follows(conn, 999)).is_err());
}
