#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <fmt/format.h>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "app/book_steps.h"
#include "app/clock.h"
#include "app/job_folder.h"
#include "app/open_book.h"
#include "cli/command.h"
#include "cli/text/book_text.h"
#include "cli/text/cautions.h"
#include "cli/text/layout.h"
#include "cli/text/review_text.h"
#include "wire/book_json.h"

namespace revwright::cli {
namespace {

struct BookOptions {
    std::string book, by, job, file, reason, check, out;
    std::optional<std::size_t> revision;
    std::vector<std::pair<std::string, std::string>> said;
    bool json = false, without_runs = false;
};
using Options = std::shared_ptr<BookOptions>;

app::Who who(const BookOptions& options) { return {options.by, app::now_utc()}; }

void show(const BookOptions& options, const JobStory& story) {
    print(options.json ? wire::story_json(story) : text::story_text(story));
}

/// What most steps end with: the job as it stands now.
Exit told(const BookOptions& options, const Result<JobStory>& story) {
    if (!story) return refused(story.error());
    show(options, *story);
    if (!options.json) print("\n" + text::cautions());
    return Exit::done;
}

Exit add_job(book::Book& book, const BookOptions& options) {
    const auto runs = options.without_runs ? app::RunsOfSheet::left_out : app::RunsOfSheet::refused;
    return told(options, app::add_job(book, options.file, who(options), runs));
}

Exit add_run(book::Book& book, const BookOptions& options) {
    const auto added = app::add_run(book, options.job, {options.file, options.revision, options.said}, who(options));
    if (!added) return refused(added.error());
    if (options.json)
        show(options, added->story);
    else
        print(text::review_text(added->review, false) + "\n" + text::paragraph(added->story.stands, 0) + "\n" +
              text::cautions());
    const StoryRevision* driven = nullptr;
    for (const StoryRevision& revision : added->story.revisions)
        if (!revision.runs.empty() && revision.runs.back().entry == added->story.last_entry) driven = &revision;
    return driven && driven->runs.back().run.open.empty() ? Exit::done : Exit::must_not_proceed;
}

Exit propose(book::Book& book, const BookOptions& options) {
    return told(options, app::propose_next(book, options.job, who(options)));
}

Exit approve(book::Book& book, const BookOptions& options) {
    const auto proposal = options.file.empty() ? std::nullopt : std::optional<app::Path>(options.file);
    return told(options, app::approve_proposal(book, options.job, proposal, who(options)));
}

Exit release(book::Book& book, const BookOptions& options) {
    return told(options, app::release_revision(book, options.job, who(options)));
}

Exit waive(book::Book& book, const BookOptions& options) {
    return told(options, app::waive_finding(book, options.job, options.check, options.reason, who(options)));
}

Exit sign(book::Book& book, const BookOptions& options) {
    return told(options, app::sign_job(book, options.job, options.reason, who(options)));
}

Exit list(book::Book& book, const BookOptions& options) {
    const auto stories = app::jobs_of(book);
    if (!stories) return refused(stories.error());
    print(options.json ? wire::jobs_json(*stories) : text::jobs_text(*stories));
    return Exit::done;
}

Exit show_job(book::Book& book, const BookOptions& options) {
    const auto story = app::job_of(book, options.job);
    if (!story) return refused(story.error());
    show(options, *story);
    return Exit::done;
}

Exit history(book::Book& book, const BookOptions& options) {
    const auto entries = book.history();
    if (!entries) return refused(entries.error());
    print(options.json ? wire::history_json(*entries) : text::history_text(*entries));
    return Exit::done;
}

Exit take_out(book::Book& book, const BookOptions& options) {
    const auto story = app::job_of(book, options.job);
    if (!story) return refused(story.error());
    const auto files = app::lay_out(book, *story, options.out);
    if (!files) return refused(files.error());
    print(fmt::format("{} is in {}; its sheet is {}.\n", text::count(files->runs.size(), "run"), options.out,
                      files->sheet.string()));
    return Exit::done;
}

Exit verify(book::Book& book, const BookOptions& options) {
    const auto check = book.verify();
    if (!check) return refused(check.error());
    if (options.json) {
        print(wire::book_check_json(check->entries, check->files, check->faults));
    } else if (check->faults.empty()) {
        print(fmt::format("{} {} and {}: every byte is as it was written.\n", check->entries,
                          check->entries == 1 ? "entry" : "entries", text::count(check->files, "file")));
    } else {
        print("The book was altered or damaged.\n");
        for (const std::string& fault : check->faults) print(text::paragraph(fault, 2));
    }
    return check->faults.empty() ? Exit::done : Exit::must_not_proceed;
}

/// The steps of `revwright book`, each with the options it takes.
class BookCommand {
public:
    BookCommand(CLI::App& app, Exit& exit)
        : command_(app.add_subcommand("book", "jobs, runs and approvals in the book")), exit_(exit) {
        command_->require_subcommand(1);
        command_
            ->add_option("--book", options_->book, "its folder, or a postgresql:// address (default: the user's own)")
            ->type_name("BOOK");
        command_->fallthrough();
    }

    void add_all() {
        CLI::App* step = add("add-job", "take in a job sheet and all files it names", add_job);
        step->add_option("JOB", options_->file, "job sheet with an id and an image")->required();
        step->add_flag("--without-runs", options_->without_runs, "leave out the sheet's [[run]] entries");
        named(step);
        step = of_job(add("add-run", "take in the log of a run; reviews it", add_run));
        step->add_option("LOG", options_->file, "log of the run")->required();
        step->add_option("--revision", options_->revision, "what was driven (default: the newest that is released)")
            ->type_name("N");
        for (const char* key : {"place", "direction", "slope_pct", "occupants_kg", "ambient_temp_c",
                                "ambient_pressure_kpa", "humidity_pct", "fuel_batch", "ron", "roller_inertia_kg_m2"})
            said(step, key);
        named(step);
        named(of_job(add("propose", "propose the next revision from the job's runs", propose)));
        step = of_job(add("approve", "approve the newest proposal and build its image", approve));
        step->add_option("--proposal", options_->file,
                         "approve only what this copy of it approves (default: every cell)")
            ->type_name("PROPOSAL.json");
        named(step);
        named(of_job(add("release", "free the newest image for installing", release)));
        step = of_job(add("waive", "answer for a finding of the last run", waive));
        step->add_option("CHECK", options_->check, "the check, as the review calls it")->required();
        reasoned(named(step));
        reasoned(named(of_job(add("sign", "sign the job off with its newest image", sign))));
        add("list", "every job, and what it waits for", list);
        of_job(add("show", "one job: its revisions, runs and verdicts", show_job));
        add("history", "who did what, and when", history);
        step = of_job(add("take-out", "write a job's files into a folder, for the other commands", take_out));
        step->add_option("DIR", options_->out, "folder")->required();
        add("verify", "look at every entry and every file", verify);
    }

private:
    using Step = Exit (*)(book::Book&, const BookOptions&);

    CLI::App* add(const char* name, const char* what, Step step) {
        CLI::App* sub = command_->add_subcommand(name, what);
        sub->add_flag("--json", options_->json, "one JSON document on standard output");
        sub->callback([options = options_, step, &exit = exit_] {
            auto book = app::open_book(options->book);
            exit = book ? step(*book, *options) : refused(book.error());
        });
        return sub;
    }
    CLI::App* of_job(CLI::App* step) {
        step->add_option("ID", options_->job, "the job's id")->required();
        return step;
    }
    CLI::App* named(CLI::App* step) {
        step->add_option("--by", options_->by, "who does it")->required()->type_name("NAME");
        return step;
    }
    void reasoned(CLI::App* step) {
        step->add_option("--reason", options_->reason, "why")->required()->type_name("TEXT");
    }
    void said(CLI::App* step, const std::string& key) {
        step->add_option_function<std::string>(
                "--" + key,
                [options = options_, key](const std::string& value) { options->said.emplace_back(key, value); },
                "of its [[run]], as in a job sheet")
            ->type_name("VALUE");
    }

    CLI::App* command_;
    Exit& exit_;
    Options options_ = std::make_shared<BookOptions>();
};

}  // namespace

void add_book(CLI::App& app, Exit& exit) { BookCommand(app, exit).add_all(); }

}  // namespace revwright::cli
