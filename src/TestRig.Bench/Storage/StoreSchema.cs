using System.Collections.Immutable;
using System.Globalization;
using TestRig.Bench.Files;

namespace TestRig.Bench.Storage;

/// <summary>The tables of a database of ours, and how one of an earlier version comes to have them.</summary>
/// <param name="mark">The table that holds the version, and by which a database of ours is known.</param>
/// <param name="scripts">
/// What makes each version of the one before it, the first of nothing. A script that was released is never changed: what is to be different is one more. Statements alone; {key} and {bytes} are types.
/// </param>
internal sealed class StoreSchema(string mark, ImmutableArray<string> scripts)
{
    public static StoreSchema Runs { get; } = new("store_schema",
    [
        """
        create table store_schema (version bigint not null);
        insert into store_schema (version) values (0);

        create table profile_text (sha256 text primary key, content text not null);

        create table run (
            key {key},
            id text not null unique,
            kind text not null,
            board text not null,
            profile_path text not null,
            profile_sha256 text not null references profile_text,
            mode text not null,
            started_ticks bigint not null,
            started_offset bigint not null,
            options text not null,
            program text not null,
            simulated bigint not null,
            sessions bigint not null,
            cycles bigint not null,
            failed_cycles bigint not null,
            ended_ticks bigint,
            ended_offset bigint,
            verdict text,
            record text);
        create index run_started on run (started_ticks);
        create index run_profile on run (profile_sha256);

        create table run_part (
            run_key bigint not null references run on delete cascade,
            name text not null,
            sha256 text not null references profile_text,
            primary key (run_key, name));
        create index run_part_text on run_part (sha256);

        create table session (
            run_key bigint not null references run on delete cascade,
            number bigint not null,
            started_ticks bigint not null,
            started_offset bigint not null,
            last_ticks bigint,
            last_offset bigint,
            ended_ticks bigint,
            ended_offset bigint,
            words text,
            adapter text not null,
            host text not null,
            process_id bigint not null,
            primary key (run_key, number));

        create table series (
            run_key bigint not null references run on delete cascade,
            number bigint not null,
            channel text not null,
            test_point text not null,
            expected text not null,
            kind text not null,
            lowest bigint,
            highest bigint,
            primary key (run_key, number),
            unique (run_key, channel, test_point, expected, kind));

        create table roster (
            run_key bigint not null references run on delete cascade,
            number bigint not null,
            position bigint not null,
            channel text not null,
            primary key (run_key, number, position));

        create table cycle (
            run_key bigint not null references run on delete cascade,
            number bigint not null,
            session bigint not null,
            started_ticks bigint not null,
            started_offset bigint not null,
            took_ticks bigint not null,
            outcome text not null,
            words text not null,
            roster bigint not null,
            figures {bytes} not null,
            primary key (run_key, number));

        create table cycle_channel (
            run_key bigint not null references run on delete cascade,
            cycle bigint not null,
            position bigint not null,
            condition text not null,
            summary text,
            primary key (run_key, cycle, position));

        create table cycle_check (
            run_key bigint not null references run on delete cascade,
            cycle bigint not null,
            position bigint not null,
            words text not null,
            primary key (run_key, cycle, position));

        create table kept (
            run_key bigint not null references run on delete cascade,
            cycle bigint not null,
            reason text not null,
            bytes bigint not null,
            captures {bytes} not null,
            primary key (run_key, cycle));
        """,
        """
        alter table run add column serial text;

        create table note (
            run_key bigint not null references run on delete cascade,
            number bigint not null,
            at_ticks bigint not null,
            at_offset bigint not null,
            author text not null,
            words text not null,
            serial text,
            primary key (run_key, number));

        create table replaced_part (
            run_key bigint not null references run on delete cascade,
            note bigint not null,
            position bigint not null,
            part text not null,
            put_in text not null,
            primary key (run_key, note, position));
        """,
        """
        create table trial_part (
            run_key bigint not null references run on delete cascade,
            number bigint not null,
            session bigint not null,
            started_ticks bigint not null,
            started_offset bigint not null,
            took_ticks bigint not null,
            silent bigint,
            words text,
            primary key (run_key, number));

        create table trial_value (
            run_key bigint not null references run on delete cascade,
            part bigint not null,
            quantity text not null,
            value double precision not null,
            standard_uncertainty double precision not null,
            expanded_uncertainty double precision not null,
            at_least bigint not null,
            primary key (run_key, part, quantity));
        """,
    ]);

    /// <summary>Leaves the store as this version of the program needs it. Processes that do so at the same time wait for each other.</summary>
    /// <exception cref="RunStorageException">A newer version has written it; or it is a database of something else.</exception>
    public async Task BringUpAsync(StoreDatabase database, CancellationToken cancellation)
    {
        var version = await database.ReadAsync(link => VersionAsync(link, database), cancellation);
        await database.SettleAsync(cancellation);
        while (version < scripts.Length)
            version = await database.WriteAsync(link => StepAsync(link, database), cancellation);
    }

    /// <returns>The version that the store has now.</returns>
    private async Task<long> StepAsync(StoreLink link, StoreDatabase database)
    {
        if (database.Claim.Length > 0)
            await link.ExecuteAsync(database.Claim);
        var version = await VersionAsync(link, database);
        // Another process may have done it while this one waited.
        if (version == scripts.Length)
            return version;
        await link.ExecuteAsync(scripts[(int)version].Replace("{key}", database.KeyType, StringComparison.Ordinal).Replace("{bytes}", database.BytesType, StringComparison.Ordinal));
        await link.ExecuteAsync($"update {mark} set version = @Next", new { Next = version + 1 });
        return version + 1;
    }

    /// <summary>Zero of a database without tables.</summary>
    private async Task<long> VersionAsync(StoreLink link, StoreDatabase database)
    {
        var tables = await link.RowsAsync<string>(database.Tables);
        if (tables.Count == 0)
            return 0;
        if (!tables.Contains(mark))
            throw new RunStorageException($"{database.Place} is no {database.What} but a database of another program. It was left as it is. {database.Elsewhere}.");
        var version = await link.RowAsync<long>($"select version from {mark}");
        return version <= scripts.Length
            ? version
            : throw new RunStorageException(string.Create(
                CultureInfo.InvariantCulture,
                $"The {database.What} {database.Place} was written by a newer testrig (version {version} of its tables, and this one knows {scripts.Length}). Update testrig. {database.Elsewhere}."));
    }
}
