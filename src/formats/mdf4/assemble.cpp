#include "formats/mdf4/assemble.h"

#include <algorithm>
#include <fmt/format.h>
#include <iterator>
#include <numeric>

#include "formats/mdf4/clock.h"

namespace revwright::mdf4 {
namespace {

class Assembly {
public:
    Assembly(std::vector<ReadGroup> groups, Log& log, Lost& lost)
        : groups_(std::move(groups)), log_(log), lost_(lost) {}

    void run() {
        find_own_times();
        for (std::size_t i = 0; i < groups_.size(); ++i)
            if (groups_[i].rows > 0) add(i);
        tell_empty();
    }

private:
    /// The time base of a group, and which of its records count.
    struct Base {
        std::size_t index = 0;
        RisingTimes times = {};
        std::size_t records = 0;  // before any was left out
    };

    void find_own_times() {
        bases_.resize(groups_.size());
        for (std::size_t i = 0; i < groups_.size(); ++i) {
            ReadGroup& group = groups_[i];
            if (!group.time || group.rows == 0) continue;
            Base base{.records = group.rows};
            base.times = rising_times(*group.time, group.plan->label());
            if (base.times.without_time > 0)
                lost_.add(fmt::format("{} record{} of {} without a time {} left out", base.times.without_time,
                                      base.times.without_time == 1 ? "" : "s", group.plan->label(),
                                      base.times.without_time == 1 ? "is" : "are"));
            std::ranges::move(base.times.notes, std::back_inserter(log_.quality));
            keep(*group.time, base.times);
            base.index = index_of(std::move(*group.time));
            const auto master = std::ranges::find_if(group.plan->channels, &ChannelPlan::is_time);
            if (master != group.plan->channels.end())
                log_.time_bases[base.index].listed_as.push_back({master->name, master->unit, group.plan->index});
            bases_[i] = std::move(base);
        }
    }

    std::size_t index_of(std::vector<double> seconds) {
        for (std::size_t i = 0; i < log_.time_bases.size(); ++i)
            if (log_.time_bases[i].seconds == seconds) return i;
        log_.time_bases.push_back({std::move(seconds)});
        return log_.time_bases.size() - 1;
    }

    const Base* base_of_master(const ReadGroup& group) const {
        if (group.plan->master == 0) return nullptr;
        for (std::size_t i = 0; i < groups_.size(); ++i)
            if (groups_[i].plan->at == group.plan->master && bases_[i] && bases_[i]->records == group.rows)
                return &*bases_[i];
        return nullptr;
    }

    Base record_numbers(const ReadGroup& group) {
        const auto& channels = group.plan->channels;
        const auto master = std::ranges::find_if(channels, &ChannelPlan::is_master);
        if (group.plan->master != 0)
            lost_.add(
                fmt::format("{} takes its time from another group that does not have as many records; its channels "
                            "stand over the number of the record",
                            group.plan->label()));
        else if (master != channels.end())
            lost_.add(
                fmt::format("{} has {} for its master and no time; its channels stand over the number of the record",
                            group.plan->label(), master_kind(*master)));
        else
            lost_.add(
                fmt::format("{} has no time; its channels stand over the number of the record", group.plan->label()));
        std::vector<double> numbers(group.rows);
        std::iota(numbers.begin(), numbers.end(), 0.0);
        return {.index = index_of(std::move(numbers)), .records = group.rows};
    }

    static std::string master_kind(const ChannelPlan& master) {
        switch (master.sync) {
            case SyncType::angle:
                return "an angle";
            case SyncType::distance:
                return "a distance";
            case SyncType::index:
                return "an index";
            default:
                return "a channel of no known kind";
        }
    }

    void add(std::size_t i) {
        ReadGroup& group = groups_[i];
        const Base* base = bases_[i] ? &*bases_[i] : base_of_master(group);
        if (base == nullptr) base = &*(bases_[i] = record_numbers(group));
        for (Channel& channel : group.channels) {
            keep(channel.values, base->times);
            channel.time_base = base->index;
            log_.channels.push_back(std::move(channel));
        }
    }

    void tell_empty() {
        std::vector<std::string> labels;
        for (const ReadGroup& group : groups_)
            if (group.rows == 0) labels.push_back(group.plan->label());
        if (labels.empty()) return;
        std::string shown = labels[0];
        for (std::size_t i = 1; i < std::min<std::size_t>(labels.size(), 8); ++i) shown += ", " + labels[i];
        if (labels.size() > 8) shown += fmt::format(" and {} more", labels.size() - 8);
        lost_.add(fmt::format("{} hold{} no records; {} channels are left out", shown, labels.size() == 1 ? "s" : "",
                              labels.size() == 1 ? "its" : "their"));
    }

    std::vector<ReadGroup> groups_;
    Log& log_;
    Lost& lost_;
    std::vector<std::optional<Base>> bases_;
};

}  // namespace

void assemble(std::vector<ReadGroup> groups, Log& log, Lost& lost) { Assembly(std::move(groups), log, lost).run(); }

}  // namespace revwright::mdf4
