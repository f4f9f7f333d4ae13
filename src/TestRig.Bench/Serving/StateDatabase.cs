using TestRig.Bench.Storage;

namespace TestRig.Bench.Serving;

/// <summary>The file of a service's own memory. It is local, whatever the store of runs is: what a bench does next must not hang from a server.</summary>
internal sealed class StateDatabase(string path) : SqliteDatabase(path)
{
    public static StoreSchema Schema { get; } = new("service_schema",
    [
        """
        create table service_schema (version bigint not null);
        insert into service_schema (version) values (0);

        create table token (
            name text primary key,
            rights text not null,
            hash {bytes} not null unique,
            created_ticks bigint not null,
            created_offset bigint not null,
            expires_ticks bigint,
            expires_offset bigint,
            revoked_ticks bigint,
            revoked_offset bigint);

        create table job (
            id {key},
            wish text not null unique,
            bench text not null,
            request text not null,
            author text not null,
            asked_ticks bigint not null,
            asked_offset bigint not null,
            armed_ticks bigint,
            armed_offset bigint,
            state text not null,
            run text,
            begun_ticks bigint,
            begun_offset bigint,
            ended_ticks bigint,
            ended_offset bigint,
            words text);
        create index job_bench on job (bench, state);
        """,
    ]);

    public override string What => "memory of the service";

    public override string Elsewhere => "Name another folder with 'state' in the service's configuration";
}
