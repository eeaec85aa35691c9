//! The arguments of every command, each with one worked example.

use clap::{Args as ClapArgs, Parser, Subcommand, ValueEnum};
use std::net::IpAddr;
use std::path::PathBuf;

/// From a worn thread to a part that fits.
#[derive(Parser)]
#[command(name = "flankwise", version, about, max_term_width = 100)]
#[command(
    after_help = "Exit status: 0 done; 1 the answer is no (will not fit, cannot be cut); 2 bad input.\n\
    Worked example, from the demo job to a printed sheet:\n  flankwise demo"
)]
pub struct Args {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// The commands.
#[derive(Subcommand)]
pub enum Command {
    /// What the thread is: candidates by probability, and what to measure next.
    #[command(after_help = "Example:\n  flankwise identify demo/board-shear.toml --json")]
    Identify(JobArgs),
    /// Sizes to make, for this mate and by the book.
    #[command(after_help = "Example:\n  flankwise fit demo/board-shear.toml --origins")]
    Fit(JobArgs),
    /// Ways of making the part side by side, with time and cost.
    #[command(after_help = "Example:\n  flankwise route demo/board-shear.toml")]
    Route(JobArgs),
    /// The tool to grind and the bar that carries it.
    #[command(after_help = "Example:\n  flankwise tool demo/proof-press.toml --unit in")]
    Tool(JobArgs),
    /// Gears, speed and half-nut rule for the job's lathe.
    #[command(after_help = "Example:\n  flankwise setup demo/board-shear.toml")]
    Setup(JobArgs),
    /// The passes, with readout and dial numbers, and the order of work.
    #[command(after_help = "Example:\n  flankwise passes demo/board-shear.toml --json")]
    Passes(JobArgs),
    /// What to measure on the part, the limits, and the verdict on readings.
    #[command(after_help = "Example:\n  flankwise check demo/board-shear.toml")]
    Check(JobArgs),
    /// All stages, one after the other.
    #[command(after_help = "Example:\n  flankwise show demo/board-shear.toml | less")]
    Show(JobArgs),
    /// Limits of size of a thread by its designation.
    #[command(after_help = "Example:\n  flankwise limits \"Tr 16x4 LH-7H\" --json")]
    Limits {
        /// Designation in any usual writing: `Tr 22x5`, `7/8-5 ACME-2G`, `M10x1.25-6g`, `1/4-20 UNC-2B`.
        designation: String,
        /// Print JSON.
        #[arg(long)]
        json: bool,
        /// Unit of the printed tables; that of the designation if not given.
        #[arg(long, value_enum)]
        unit: Option<UnitArg>,
        /// Print the origin of each basic size as well.
        #[arg(long)]
        origins: bool,
    },
    /// Listed sizes: all families, one of them, or what is near a diameter and a pitch.
    #[command(
        after_help = "Example:\n  flankwise catalogue\n  flankwise catalogue --family acme\n  flankwise catalogue --diameter \"22 mm\" --within \"0.3 mm\"\n  flankwise catalogue --near \"Tr 22x5\" --json\nExit status 1 when nothing listed matches; the nearest are printed then."
    )]
    Catalogue(CatalogueArgs),
    /// Two threads side by side: how far readings tell them apart, and what happens if one is used for the other.
    #[command(
        after_help = "Example:\n  flankwise compare \"Tr 22x5\" \"7/8-5 Acme\" --play \"0.2 mm\"\n  flankwise compare \"1/4-20 UNC\" \"1/4-20 BSW\" --with micrometer --with protractor --json"
    )]
    Compare(CompareArgs),
    /// Gear trains of a lathe for a lead.
    #[command(after_help = "Example:\n  flankwise gears demo/board-shear.toml --lead \"3 mm\" --json")]
    Gears(GearsArgs),
    /// Lathes kept in the data directory, and what a lathe cuts.
    #[command(
        after_help = "Example:\n  flankwise lathe example metric-small > lathe.toml\n  flankwise lathe import lathe.toml"
    )]
    Lathe {
        /// Data directory.
        #[arg(long, global = true)]
        data: Option<PathBuf>,
        /// What to do with them.
        #[command(subcommand)]
        what: LatheCommand,
    },
    /// The quotation for the customer: found, proposed, ways and prices, terms.
    #[command(
        after_help = "Example:\n  flankwise quotation demo/board-shear.toml\nAs PDF: flankwise sheet --quotation"
    )]
    Quotation(QuotationArgs),
    /// The sheet as PDF: for the bench, the customer's quotation or report, or the full record.
    #[command(after_help = "Example:\n  flankwise sheet demo/board-shear.toml -o board-shear.pdf")]
    Sheet(SheetArgs),
    /// Readings from a picture of a thread in silhouette.
    #[command(after_help = "Example:\n  flankwise photo screw.jpg --px-per-mm 24.6 --json")]
    Photo(PhotoArgs),
    /// The web page.
    #[command(after_help = "Example:\n  flankwise serve --port 0 --data ~/bench")]
    Serve(ServeArgs),
    /// Jobs kept in the data directory.
    #[command(after_help = "Example:\n  flankwise jobs import demo/board-shear.toml")]
    Jobs {
        /// Data directory.
        #[arg(long, global = true)]
        data: Option<PathBuf>,
        /// What to do with them.
        #[command(subcommand)]
        what: JobsCommand,
    },
    /// The demo: opens an invented job, prints its answer, writes its sheets, and serves its page.
    #[command(after_help = "Example:\n  flankwise demo --once")]
    Demo(DemoArgs),
    /// Prints an empty job file to start from.
    #[command(after_help = "Example:\n  flankwise template > job.toml")]
    Template,
    /// Prints the completion script of a shell.
    #[command(
        after_help = "Example:\n  flankwise completions bash > ~/.local/share/bash-completion/completions/flankwise"
    )]
    Completions {
        /// Shell.
        shell: clap_complete::Shell,
    },
}

/// Unit of lengths in the output.
#[derive(Clone, Copy, ValueEnum)]
pub enum UnitArg {
    /// Millimetres.
    Mm,
    /// Inches.
    In,
}

impl From<UnitArg> for flankwise_thread::Unit {
    fn from(u: UnitArg) -> Self {
        match u {
            UnitArg::Mm => Self::Mm,
            UnitArg::In => Self::Inch,
        }
    }
}

/// Arguments of `gears`.
#[derive(ClapArgs)]
pub struct GearsArgs {
    /// Number of a kept lathe, a lathe file (TOML), or a job that holds a `[lathe]` table; `-` reads standard input.
    pub lathe: String,
    /// Lead to cut: `3 mm`, `0.2 in`, `10 tpi`, `2 module`, `12 dp`; a bare number is in the file's unit.
    #[arg(long)]
    pub lead: String,
    /// Hand of the thread; it matters where no lever reverses the lead screw.
    #[arg(long, value_enum, default_value = "right")]
    pub hand: HandArg,
    /// Print at most so many trains.
    #[arg(long, default_value_t = 20, value_parser = clap::builder::RangedU64ValueParser::<usize>::new().range(1..=1000))]
    pub most: usize,
    /// Unit of lengths in text; that of the lead if not given.
    #[arg(long, value_enum)]
    pub unit: Option<UnitArg>,
    /// Directory of the kept lathes.
    #[arg(long)]
    pub data: Option<PathBuf>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
}

/// Hand of a thread.
#[derive(Clone, Copy, ValueEnum)]
pub enum HandArg {
    /// Right-hand.
    Right,
    /// Left-hand.
    Left,
}

impl From<HandArg> for flankwise_thread::Hand {
    fn from(hand: HandArg) -> Self {
        match hand {
            HandArg::Right => Self::Right,
            HandArg::Left => Self::Left,
        }
    }
}

/// A job and how to print.
#[derive(ClapArgs)]
pub struct JobArgs {
    /// Job file (TOML); `-` reads standard input.
    pub job: PathBuf,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
    /// Unit of lengths in text; the job's own if not given.
    #[arg(long, value_enum)]
    pub unit: Option<UnitArg>,
    /// Print the origin of each figure.
    #[arg(long)]
    pub origins: bool,
}

/// Arguments of `compare`.
#[derive(ClapArgs)]
pub struct CompareArgs {
    /// The first thread, in any usual writing.
    pub a: String,
    /// The second.
    pub b: String,
    /// An instrument at hand beside thread leaves; may be given several times. A calliper if none: calliper, micrometer,
    /// rule, protractor, wires, telescoping gauge, photo, paper trace, cast, microscope.
    #[arg(long = "with", value_name = "INSTRUMENT")]
    pub instruments: Vec<String>,
    /// A measuring wire at hand: `2.6 mm`; may be given several times.
    #[arg(long = "wire", value_name = "DIAMETER")]
    pub wires: Vec<String>,
    /// Condition of the part that is read: unused, used, worn or wrecked.
    #[arg(long, default_value = "used")]
    pub condition: String,
    /// Axial play of nut and screw.
    #[arg(long, default_value = "0.1 mm")]
    pub play: String,
    /// Length of thread in engagement; one and a half diameters if not given.
    #[arg(long)]
    pub length: Option<String>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
    /// Unit of lengths in text; that of the first thread if not given.
    #[arg(long, value_enum)]
    pub unit: Option<UnitArg>,
}

/// Arguments of `catalogue`.
#[derive(ClapArgs)]
pub struct CatalogueArgs {
    /// Family by its key, as `flankwise catalogue` lists them: `acme`, `metric-trapezoidal`.
    #[arg(long)]
    pub family: Option<String>,
    /// Nominal diameter: `22 mm`, `7/8 in`; a bare number is in millimetres.
    #[arg(long)]
    pub diameter: Option<String>,
    /// How far the diameter may be off.
    #[arg(long, default_value = "0.1 mm")]
    pub within: String,
    /// Pitch: `5 mm`, `5 tpi`; within half a per cent.
    #[arg(long)]
    pub pitch: Option<String>,
    /// List what lies nearest to this designation, over all families or the one given.
    #[arg(long, conflicts_with_all = ["diameter", "pitch"])]
    pub near: Option<String>,
    /// How many of the nearest to list.
    #[arg(long, default_value_t = 12)]
    pub most: usize,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
    /// Unit of lengths in text.
    #[arg(long, value_enum, default_value = "mm")]
    pub unit: UnitArg,
}

/// Arguments of `quotation`.
#[derive(ClapArgs)]
pub struct QuotationArgs {
    /// Job file (TOML); `-` reads standard input.
    pub job: PathBuf,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
    /// Unit of lengths in text; the job's own if not given.
    #[arg(long, value_enum)]
    pub unit: Option<UnitArg>,
}

/// Arguments of `sheet`.
#[derive(ClapArgs)]
pub struct SheetArgs {
    /// Job file (TOML); `-` reads standard input.
    pub job: PathBuf,
    /// File to write.
    #[arg(short, long)]
    pub output: PathBuf,
    /// The customer's report instead of the bench sheet: what was found, made and measured.
    #[arg(long)]
    pub customer: bool,
    /// The customer's quotation instead: what was found and is proposed, ways and prices.
    #[arg(long, conflicts_with = "customer")]
    pub quotation: bool,
    /// The full record instead: the evidence, every stage, and where each figure comes from.
    #[arg(long, conflicts_with_all = ["customer", "quotation"])]
    pub record: bool,
    /// Unit of lengths; the job's own if not given.
    #[arg(long, value_enum)]
    pub unit: Option<UnitArg>,
    /// Print what was written as JSON.
    #[arg(long)]
    pub json: bool,
}

/// Arguments of `photo`.
#[derive(ClapArgs)]
pub struct PhotoArgs {
    /// Picture (JPEG or PNG).
    pub image: PathBuf,
    /// Scale in dots per inch, for a scan.
    #[arg(long, conflicts_with = "px_per_mm")]
    pub dpi: Option<f64>,
    /// Scale in pixels per millimetre.
    #[arg(long)]
    pub px_per_mm: Option<f64>,
    /// Diameter of a round pin that lies beside the screw as the scale: `5 mm`.
    #[arg(long, conflicts_with_all = ["dpi", "px_per_mm"])]
    pub pin: Option<String>,
    /// Print JSON.
    #[arg(long)]
    pub json: bool,
    /// Unit of lengths in text.
    #[arg(long, value_enum, default_value = "mm")]
    pub unit: UnitArg,
}

/// Arguments of `serve`.
#[derive(ClapArgs)]
pub struct ServeArgs {
    /// Data directory; the user's own if not given.
    #[arg(long)]
    pub data: Option<PathBuf>,
    /// Address to listen on. Anyone who can reach it can read and change every job.
    #[arg(long, default_value = "127.0.0.1")]
    pub listen: IpAddr,
    /// Port; 0 takes a free one.
    #[arg(long, default_value_t = 8753)]
    pub port: u16,
}

/// Arguments of `demo`.
#[derive(ClapArgs)]
pub struct DemoArgs {
    /// Folder for the two sheets.
    #[arg(long, default_value = ".")]
    pub out: PathBuf,
    /// Data directory; the user's own if not given.
    #[arg(long)]
    pub data: Option<PathBuf>,
    /// Port of the page; 0 takes a free one.
    #[arg(long, default_value_t = 8753)]
    pub port: u16,
    /// Show the page's address, then stop instead of serving on.
    #[arg(long)]
    pub once: bool,
}

/// What to do with the jobs kept.
#[derive(Subcommand)]
pub enum JobsCommand {
    /// Lists them.
    #[command(after_help = "Example:\n  flankwise jobs list --json")]
    List {
        /// Print JSON.
        #[arg(long)]
        json: bool,
    },
    /// Takes in a job file; prints its number.
    #[command(after_help = "Example:\n  flankwise jobs import demo/board-shear.toml")]
    Import {
        /// Job file; `-` reads standard input.
        file: PathBuf,
    },
    /// Writes a job's text.
    #[command(after_help = "Example:\n  flankwise jobs export 3 -o job.toml")]
    Export {
        /// Number of the job.
        job: i64,
        /// File to write; standard output if not given.
        #[arg(short, long)]
        output: Option<PathBuf>,
    },
    /// Lists a job's changes.
    #[command(after_help = "Example:\n  flankwise jobs history 3")]
    History {
        /// Number of the job.
        job: i64,
        /// Print JSON.
        #[arg(long)]
        json: bool,
    },
    /// Takes back the last change of a job.
    #[command(after_help = "Example:\n  flankwise jobs undo 3")]
    Undo {
        /// Number of the job.
        job: i64,
    },
    /// Puts a job away; `restore` brings it back.
    #[command(after_help = "Example:\n  flankwise jobs remove 3")]
    Remove {
        /// Number of the job.
        job: i64,
    },
    /// Brings back a job that was put away.
    #[command(after_help = "Example:\n  flankwise jobs restore 3")]
    Restore {
        /// Number of the job.
        job: i64,
    },
}

/// What to do with the lathes kept.
#[derive(Subcommand)]
pub enum LatheCommand {
    /// Lists them.
    #[command(after_help = "Example:\n  flankwise lathe list --json")]
    List {
        /// Print JSON.
        #[arg(long)]
        json: bool,
    },
    /// Prints an empty lathe file to fill in.
    #[command(after_help = "Example:\n  flankwise lathe new > lathe.toml")]
    New,
    /// Prints one of the invented lathes that come with the program, or lists them.
    #[command(after_help = "Example:\n  flankwise lathe example geared-head > lathe.toml")]
    Example {
        /// Name, as listed without one.
        name: Option<String>,
    },
    /// Takes in a lathe file, or the lathe of a job; prints its number.
    #[command(after_help = "Example:\n  flankwise lathe import lathe.toml")]
    Import {
        /// Lathe file or job file; `-` reads standard input.
        file: PathBuf,
    },
    /// Writes a lathe's text.
    #[command(after_help = "Example:\n  flankwise lathe export 3 -o lathe.toml")]
    Export {
        /// Number of the lathe.
        lathe: i64,
        /// File to write; standard output if not given.
        #[arg(short, long)]
        output: Option<PathBuf>,
    },
    /// What a lathe cuts: usual pitches with train, error and half-nut rule.
    #[command(after_help = "Example:\n  flankwise lathe chart demo/lathes/imperial-small.toml")]
    Chart {
        /// Number of a kept lathe, a lathe file or a job file; `-` reads standard input.
        lathe: String,
        /// A lead to put first, as for `gears`; may be given more than once.
        #[arg(long)]
        lead: Vec<String>,
        /// Hand of the threads; it matters where no lever reverses the lead screw.
        #[arg(long, value_enum, default_value = "right")]
        hand: HandArg,
        /// Unit of lengths in text; that of the lead screw if not given.
        #[arg(long, value_enum)]
        unit: Option<UnitArg>,
        /// Print JSON.
        #[arg(long)]
        json: bool,
    },
    /// Puts a lathe into a job file, in place of the one it holds.
    #[command(after_help = "Example:\n  flankwise lathe use 3 job.toml -o job.toml")]
    Use {
        /// Number of a kept lathe, or a lathe file.
        lathe: String,
        /// Job file; `-` reads standard input.
        job: PathBuf,
        /// File to write; standard output if not given.
        #[arg(short, long)]
        output: Option<PathBuf>,
    },
    /// Lists a lathe's changes.
    #[command(after_help = "Example:\n  flankwise lathe history 3")]
    History {
        /// Number of the lathe.
        lathe: i64,
        /// Print JSON.
        #[arg(long)]
        json: bool,
    },
    /// Takes back the last change of a lathe.
    #[command(after_help = "Example:\n  flankwise lathe undo 3")]
    Undo {
        /// Number of the lathe.
        lathe: i64,
    },
    /// Puts a lathe away; `restore` brings it back.
    #[command(after_help = "Example:\n  flankwise lathe remove 3")]
    Remove {
        /// Number of the lathe.
        lathe: i64,
    },
    /// Brings back a lathe that was put away.
    #[command(after_help = "Example:\n  flankwise lathe restore 3")]
    Restore {
        /// Number of the lathe.
        lathe: i64,
    },
}
