//! The worksheet: a visit on paper, to be filled in with a pencil in the vault.

use crate::procedure::entry::{Moment, Output};
use crate::procedure::plan::{Item, ItemKind};
use crate::procedure::{Bench, Finding, Procedure};

use super::CAUTIONS;
use super::paper::{Block, Cell, Column, Fact, Part, Table, Writing};
use super::survey_document::program;
use super::visit_record::{SetPart, VisitStepPart};
