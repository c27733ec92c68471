//! The office's books, in memory or in SQLite: the same tests run against both.

use wythe_app::job::{ArrivalRecord, BusinessId, Fact, FactId};
use wythe_app::sync::{Access, AsideRow, CodeHash, Desk, MemoryOffice, OfficeStorage, Trouble};
use wythe_office::SqliteOffice;

pub enum Books {
    Memory(MemoryOffice),
    Disk {
        office: SqliteOffice,
        _folder: tempfile::TempDir,
    },
}

impl Books {
    pub fn new(on_disk: bool) -> Self {
        if !on_disk {
            return Self::Memory(MemoryOffice::new());
        }
        let folder = tempfile::tempdir().unwrap();
        let office = SqliteOffice::open(&folder.path().join("office.sqlite")).unwrap();
        Self::Disk {
            office,
            _folder: folder,
        }
    }

    pub fn open(&mut self, business: BusinessId) {
        match self {
            Self::Memory(office) => office.open(business),
            Self::Disk { office, .. } => office.make_room(business).unwrap(),
        }
    }

    pub fn copy(&self) -> Self {
        match self {
            Self::Memory(office) => Self::Memory(office.clone()),
            Self::Disk { office, .. } => {
                let folder = tempfile::tempdir().unwrap();
                let file = folder.path().join("office.sqlite");
                office.copy_to(&file).unwrap();
                let office = SqliteOffice::open(&file).unwrap();
                Self::Disk {
                    office,
                    _folder: folder,
                }
            }
        }
    }

    pub fn facts(&self, business: BusinessId) -> Vec<(u64, Fact)> {
        match self {
            Self::Memory(office) => office.facts(business),
            Self::Disk { office, .. } => office.facts(business).unwrap(),
        }
    }

    pub fn records(&self, business: BusinessId) -> Vec<(ArrivalRecord, Vec<FactId>)> {
        match self {
            Self::Memory(office) => office.records(business),
            Self::Disk { office, .. } => office.records(business).unwrap(),
        }
    }

    pub fn kept_apart(&self, business: BusinessId) -> Vec<AsideRow> {
        match self {
            Self::Memory(office) => office.kept_apart(business),
            Self::Disk { office, .. } => office.kept_apart(business).unwrap(),
        }
    }
}

impl OfficeStorage for Books {
    fn business_of_code(&mut self, code: CodeHash) -> Result<Option<BusinessId>, Trouble> {
        match self {
            Self::Memory(office) => office.business_of_code(code),
            Self::Disk { office, .. } => office.business_of_code(code),
        }
    }

    fn begin(&mut self, business: BusinessId, access: Access) -> Result<Box<dyn Desk + '_>, Trouble> {
        match self {
            Self::Memory(office) => office.begin(business, access),
            Self::Disk { office, .. } => office.begin(business, access),
        }
    }
}
