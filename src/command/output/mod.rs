//! Turns finished files into a folder on disk, whole or not at all, and never removes or overwrites what this tool did not write.
//!
//! ```text
//!  --out ─> place  a folder that may be written to, links resolved
//!             └─> lock  one run at a time
//!                   └─> list  what this tool wrote there, each file with its hash
//!                         └─> plan  what stays, goes and comes; what is in the way
//!                               └─> swap  what goes is taken away, then what comes is put: never two editions side by side
//! ```
//!
//! All that is the tool's own lies in one hidden folder of the output, so that nothing beside the output is ever touched and
//! every file moves within one file system. The list says what a swap is about before it begins, and a run that finds a swap
//! begun and not ended takes it back first: then the old book stands again, whole.

mod list;
mod lock;
mod place;
mod plan;
mod swap;

pub use list::hash;
pub use place::Place;
pub use plan::CALL;

use super::Failure;
use crate::page::Output;
use list::List;
use plan::Plan;
use rayon::prelude::*;
use std::fs::{self, File};
use std::io::Write as _;
use std::path::Path;

/// The hidden folder of the output that holds the lock, the list and the files that come or go.
const OWN: &str = ".goodground";

/// Writes a book's files into a folder.
pub fn write(place: &Place, outputs: &[Output]) -> Result<(), Failure> {
    let _lock = lock::take(place)?;
    let ground = place.ground()?;
    let mut list = List::load(&ground)?;
    if list.is_swapping() {
        swap::take_back(&ground, &mut list)?;
    }
    swap::clear(&ground, &mut list)?;
    let plan = Plan::of(&ground, &list, outputs)?;
    if plan.changes_nothing() {
        return Ok(());
    }
    list.name_room(&ground)?;
    let done = stage(&ground.room(&list), &plan).and_then(|()| swap::run(&ground, &mut list, &plan));
    if done.is_ok() {
        return swap::clear(&ground, &mut list);
    }
    swap::take_back(&ground, &mut list)?;
    swap::clear(&ground, &mut list)?;
    // What came in between is named like what was there before.
    Plan::of(&ground, &list, outputs)?;
    done
}

/// Writes what comes into the room of the swap, under its numbers.
fn stage(room: &Path, plan: &Plan) -> Result<(), Failure> {
    fs::create_dir(room)?;
    plan.coming().par_iter().enumerate().try_for_each(|(number, coming)| {
        write_durably(&room.join(format!("+{number}")), coming.bytes)
            .map_err(|error| Failure(format!("cannot write {}: {error}", coming.path)))
    })
}

/// Writes a file so that it is on the disk before anything relies on it.
fn write_durably(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let mut file = File::create_new(path)?;
    file.write_all(bytes)?;
    file.sync_all()
}

#[cfg(test)]
mod tests {
    use super::list::hash;
    use super::*;
    use std::path::PathBuf;
    use tempfile::TempDir;
    use walkdir::WalkDir;

    /// A folder to write to, and what was found there.
    struct Room(TempDir);

    impl Room {
        fn new() -> Room {
            let room = Room(tempfile::tempdir().unwrap());
            fs::create_dir_all(room.0.path().join("book/content")).unwrap();
            room
        }

        fn out(&self) -> PathBuf {
            self.0.path().join("out")
        }

        fn place(&self) -> Place {
            Place::of(&self.out(), &self.0.path().join("book")).unwrap_or_else(|Failure(why)| panic!("{why}"))
        }

        fn publish(&self, outputs: &[Output]) {
            write(&self.place(), outputs).unwrap_or_else(|Failure(why)| panic!("{why}"));
        }

        fn refuses(&self, outputs: &[Output]) -> String {
            let before = self.files();
            let Err(Failure(reason)) = write(&self.place(), outputs) else { panic!("it was written") };
            assert_eq!(self.files(), before, "nothing changes");
            reason
        }

        fn put(&self, path: &str, text: &str) {
            let path = self.out().join(path);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, text).unwrap();
        }

        /// Every file with what it holds, and every folder, but for the tool's own.
        fn files(&self) -> Vec<(String, String)> {
            let walk = WalkDir::new(self.out()).min_depth(1).sort_by_file_name().into_iter();
            walk.filter_entry(|entry| entry.file_name() != OWN)
                .map(|entry| {
                    let entry = entry.unwrap();
                    let path = entry.path().strip_prefix(self.out()).unwrap().to_string_lossy().to_string();
                    let text = match entry.file_type().is_file() {
                        true => fs::read_to_string(entry.path()).unwrap(),
                        false => "folder".to_string(),
                    };
                    (path, text)
                })
                .collect()
        }

        fn own(&self) -> Vec<String> {
            let entries = fs::read_dir(self.out().join(OWN)).unwrap();
            let mut names: Vec<String> =
                entries.map(|entry| entry.unwrap().file_name().to_string_lossy().to_string()).collect();
            names.sort();
            names
        }
    }

    fn page(path: &str, text: &str) -> Output {
        Output { path: path.to_string(), bytes: text.as_bytes().to_vec() }
    }

    fn found(files: &[(&str, &str)]) -> Vec<(String, String)> {
        files.iter().map(|(path, text)| (path.to_string(), text.to_string())).collect()
    }

    #[test]
    fn a_second_book_replaces_the_first_and_leaves_what_others_wrote() {
        let room = Room::new();
        room.publish(&[page("index.html", "one"), page("old/gone.html", "x"), page("left/gone.html", "x")]);
        room.put("notes.txt", "mine");
        room.put("old/mine/kept.txt", "mine too");
        room.put(".goodground-writing-mine/kept.txt", "mine as well");
        fs::create_dir(room.out().join("empty")).unwrap();
        room.publish(&[page("index.html", "two"), page("new/page.html", "y")]);
        let expected = [
            (".goodground-writing-mine", "folder"),
            (".goodground-writing-mine/kept.txt", "mine as well"),
            ("empty", "folder"),
            ("index.html", "two"),
            ("new", "folder"),
            ("new/page.html", "y"),
            ("notes.txt", "mine"),
            ("old", "folder"),
            ("old/mine", "folder"),
            ("old/mine/kept.txt", "mine too"),
        ];
        assert_eq!(room.files(), found(&expected));
        assert_eq!(room.own(), ["files", "lock"], "nothing else is left behind");
    }

    #[test]
    fn a_folder_that_others_made_stays_when_its_pages_go() {
        let room = Room::new();
        room.publish(&[page("index.html", "one")]);
        fs::create_dir(room.out().join("pages")).unwrap();
        room.publish(&[page("index.html", "one"), page("pages/a.html", "a")]);
        room.publish(&[page("index.html", "one")]);
        assert_eq!(room.files(), found(&[("index.html", "one"), ("pages", "folder")]));
    }

    #[test]
    fn what_others_changed_or_put_in_the_way_is_named_and_nothing_is_done() {
        let room = Room::new();
        room.publish(&[
            page("index.html", "one"),
            page("a.html", "a"),
            page("b.html", "b"),
            page("c.html", "c"),
        ]);
        room.put("a.html", "mine");
        fs::remove_file(room.out().join("b.html")).unwrap();
        room.put("b.html/inside.txt", "mine");
        room.put("d.html", "mine");
        room.put("e", "mine");
        let next =
            [page("index.html", "two"), page("a.html", "aa"), page("d.html", "d"), page("e/f.html", "f")];
        let reason = room.refuses(&next);
        for named in
            ["a.html was changed", "b.html is a folder", "d.html stands where", "e/f.html stands where a"]
        {
            assert!(reason.contains(named), "{named}: {reason}");
        }
        assert!(!reason.contains("c.html") && reason.contains("Move away or delete"), "{reason}");
        for path in ["a.html", "d.html", "e"] {
            fs::remove_file(room.out().join(path)).unwrap();
        }
        fs::remove_dir_all(room.out().join("b.html")).unwrap();
        room.publish(&next);
    }

    #[test]
    fn a_forged_list_removes_nothing() {
        let room = Room::new();
        room.publish(&[page("index.html", "one")]);
        room.put("secret.txt", "mine");
        let list = room.out().join(OWN).join("files");
        let text = fs::read_to_string(&list).unwrap();
        fs::write(&list, format!("{text}= {} secret.txt\n", hash(b"other"))).unwrap();
        assert!(room.refuses(&[page("index.html", "two")]).contains("secret.txt was changed"));
        fs::write(room.0.path().join("outside.txt"), "mine").unwrap();
        fs::write(&list, format!("{text}= {} ../outside.txt\n", hash(b"mine"))).unwrap();
        assert!(room.refuses(&[page("index.html", "two")]).contains("damaged"));
        #[cfg(unix)]
        {
            std::os::unix::fs::symlink(room.0.path(), room.out().join("way")).unwrap();
            fs::write(&list, format!("{text}= {} way/outside.txt\n", hash(b"mine"))).unwrap();
            let Err(Failure(reason)) = write(&room.place(), &[page("index.html", "two")]) else {
                panic!("it was written")
            };
            assert!(reason.contains("way/outside.txt is a link (way is)"), "{reason}");
            assert!(room.0.path().join("outside.txt").exists());
        }
    }

    #[test]
    fn what_appears_or_changes_between_the_look_and_the_deed_is_kept() {
        let old =
            [page("index.html", "one"), page("a.html", "a"), page("b.html", "b"), page("gone/d.html", "d")];
        let next =
            [page("index.html", "two"), page("a.html", "aa"), page("b.html", "bb"), page("new/c.html", "c")];
        let meddle: [(&str, &str); 3] = [("b.html", "mine"), ("new/c.html", "mine"), ("gone/d.html", "mine")];
        for (path, text) in meddle {
            let room = Room::new();
            room.publish(&old);
            let ground = room.place().ground().unwrap();
            let mut list = List::load(&ground).unwrap();
            let plan = Plan::of(&ground, &list, &next).unwrap_or_else(|Failure(why)| panic!("{why}"));
            list.name_room(&ground).unwrap_or_else(|Failure(why)| panic!("{why}"));
            stage(&ground.room(&list), &plan).unwrap_or_else(|Failure(why)| panic!("{why}"));
            room.put(path, text);
            let before = room.files();
            assert!(swap::run(&ground, &mut list, &plan).is_err(), "{path}");
            swap::take_back(&ground, &mut list).unwrap_or_else(|Failure(why)| panic!("{why}"));
            swap::clear(&ground, &mut list).unwrap_or_else(|Failure(why)| panic!("{why}"));
            assert_eq!(room.files(), before, "{path}: the old book stands, with what came in between");
            assert_eq!(room.own(), ["files", "lock"]);
        }
    }

    #[test]
    fn a_swap_that_was_left_anywhere_is_taken_back() {
        let old = [page("index.html", "one"), page("a.html", "a"), page("gone/b.html", "b")];
        let next = [page("index.html", "two"), page("a.html", "aa"), page("new/c.html", "c")];
        // The run ends when the file with this number cannot be put, as if it had been killed there.
        for last in 0..3 {
            let room = Room::new();
            room.publish(&old);
            room.put("gone/notes.txt", "mine");
            let before = room.files();
            let ground = room.place().ground().unwrap();
            let mut list = List::load(&ground).unwrap();
            let plan = Plan::of(&ground, &list, &next).unwrap_or_else(|Failure(why)| panic!("{why}"));
            list.name_room(&ground).unwrap_or_else(|Failure(why)| panic!("{why}"));
            stage(&ground.room(&list), &plan).unwrap_or_else(|Failure(why)| panic!("{why}"));
            fs::remove_file(ground.room(&list).join(format!("+{last}"))).unwrap();
            assert!(swap::run(&ground, &mut list, &plan).is_err());
            let half = room.files();
            assert!(!half.iter().any(|(path, _)| path == "index.html"), "half a book has no door: {half:?}");
            assert!(
                !half.iter().any(|(_, text)| text == "a"),
                "nothing of the old book stands beside the new"
            );
            // The next run knows no more than what is on the disk.
            assert!(room.refuses_nothing_and_takes_back(), "{last}");
            assert_eq!(room.files(), before);
            room.publish(&next);
            let expected = [
                ("a.html", "aa"),
                ("gone", "folder"),
                ("gone/notes.txt", "mine"),
                ("index.html", "two"),
                ("new", "folder"),
                ("new/c.html", "c"),
            ];
            assert_eq!(room.files(), found(&expected));
            assert_eq!(room.own(), ["files", "lock"]);
        }
    }

    impl Room {
        /// Publishes the old book's list over what a killed run left.
        fn refuses_nothing_and_takes_back(&self) -> bool {
            let ground = self.place().ground().unwrap();
            let mut list = List::load(&ground).unwrap();
            let was = list.is_swapping();
            swap::take_back(&ground, &mut list).unwrap_or_else(|Failure(why)| panic!("{why}"));
            was && !List::load(&ground).unwrap().is_swapping()
        }
    }

    #[test]
    fn only_what_this_tool_numbered_is_cleared_away() {
        let room = Room::new();
        room.publish(&[page("index.html", "one")]);
        let ground = room.place().ground().unwrap();
        let mut list = List::load(&ground).unwrap();
        list.name_room(&ground).unwrap_or_else(|Failure(why)| panic!("{why}"));
        let swap = ground.room(&list);
        fs::create_dir(&swap).unwrap();
        for name in ["+0", "notes.txt"] {
            fs::write(swap.join(name), "x").unwrap();
        }
        let other = ground.own().join("swap-1-1");
        fs::create_dir(&other).unwrap();
        fs::write(other.join("+0"), "x").unwrap();
        room.publish(&[page("index.html", "two")]);
        assert!(!swap.join("+0").exists() && swap.join("notes.txt").exists() && other.join("+0").exists());
    }

    #[test]
    fn a_folder_of_the_book_on_another_file_system_is_left_alone() {
        let room = Room::new();
        room.publish(&[page("index.html", "one"), page("pages/a.html", "a")]);
        let mounted = std::process::Command::new("mount")
            .args(["-t", "tmpfs", "none"])
            .arg(room.out().join("pages"))
            .stderr(std::process::Stdio::null())
            .status()
            .is_ok_and(|status| status.success());
        if !mounted {
            // Only root may mount; `place` holds the same law without one.
            return;
        }
        room.put("pages/a.html", "a");
        let reason = room.refuses(&[page("index.html", "two")]);
        let unmounted = std::process::Command::new("umount").arg(room.out().join("pages")).status();
        assert!(unmounted.unwrap().success());
        assert!(reason.contains("pages/a.html lies on another file system, mounted there"), "{reason}");
    }

    #[test]
    #[cfg(unix)]
    fn modes_of_folders_and_links_to_the_output_stay() {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let room = Room::new();
        let real = room.0.path().join("real");
        fs::create_dir(&real).unwrap();
        fs::set_permissions(&real, fs::Permissions::from_mode(0o2770)).unwrap();
        symlink(&real, room.out()).unwrap();
        for text in ["one", "two"] {
            room.publish(&[page("index.html", text), page("pages/a.html", text)]);
            assert!(fs::symlink_metadata(room.out()).unwrap().is_symlink());
            assert_eq!(fs::metadata(&real).unwrap().permissions().mode() & 0o7777, 0o2770);
            let pages = real.join("pages");
            let mode = fs::metadata(&pages).unwrap().permissions().mode() & 0o7777;
            if text == "one" {
                assert_eq!(mode & 0o2000, 0o2000, "a new folder inherits the group");
                fs::set_permissions(&pages, fs::Permissions::from_mode(0o2711)).unwrap();
            } else {
                assert_eq!(mode, 0o2711);
            }
        }
        assert_eq!(fs::read_to_string(real.join("index.html")).unwrap(), "two");
    }

    #[test]
    fn the_same_book_again_writes_nothing() {
        let room = Room::new();
        let book = [page("index.html", "one"), page("a.html", "a")];
        room.publish(&book);
        let list = room.out().join(OWN).join("files");
        let before = fs::metadata(&list).unwrap().modified().unwrap();
        std::thread::sleep(std::time::Duration::from_millis(20));
        room.publish(&book);
        assert_eq!(fs::metadata(&list).unwrap().modified().unwrap(), before);
        fs::remove_file(room.out().join("a.html")).unwrap();
        room.publish(&book);
        assert_eq!(
            room.files(),
            found(&[("a.html", "a"), ("index.html", "one")]),
            "what was deleted comes back"
        );
    }
}
