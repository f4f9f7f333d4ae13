using System.CommandLine;
using System.Globalization;
using Spectre.Console;
using TestRig.Bench.Files;
using TestRig.Bench.Serving;

namespace TestRig.Commands;

/// <summary>testrig token: who may look, and who may drive.</summary>
internal static class TokenCommand
{
    private const string Read = "read", Drive = "drive", Both = "read+drive";

    private static readonly TimeSpan _usualLife = TimeSpan.FromDays(90);

    public static Command Create() => new("token", "Tokens of a service: who may see it, and who may have lines driven.") { CreateToken(), ListTokens(), RevokeToken() };

    private static Command CreateToken()
    {
        var (benches, name) = (ServiceInput.Argument(), NameArgument());
        var rights = new Option<string>("--rights") { Description = $"What its holder may do: {Read}, {Drive}, or {Both} (default {Read}).", HelpName = "RIGHTS", DefaultValueFactory = _ => Read };
        rights.AcceptOnlyFromAmong(Read, Drive, Both);
        var life = QuantityOption.Create<TimeSpan?>("--expires-in", "So long it is valid (default 90 d).", "TIME", QuantityText.Span);
        var command = new Command("create", "Make a token, and show its secret this once.") { benches, name, rights, life };
        command.SetAction(async (parsed, cancellation) =>
        {
            if (ServiceInput.Load(parsed.GetRequiredValue(benches)) is not { } settings)
                return ExitCode.BadUsage;
            var now = TimeProvider.System.GetLocalNow();
            var (token, secret) = AccessToken.Create(NameOf(parsed.GetRequiredValue(name)), RightsOf(parsed.GetRequiredValue(rights)), now, now + (parsed.GetValue(life) ?? _usualLife));
            await using var state = await ServiceState.OpenAsync(settings.State, cancellation);
            if (!await state.AddAsync(token, cancellation))
                throw new BadUsageException([$"There is a token '{token.Name}' already, or was. Give the new one another name, so that the record tells them apart."]);
            var screen = TextScreen.OnOutput();
            screen.Say("Token    ", $"{token.Name}: {Words(token.Rights)}, until {Minute(token.Expires!.Value)}");
            screen.Say("Secret   ", secret);
            screen.Say("         ", "It is shown this once, and kept nowhere. Whoever has it, has its rights.");
            return ExitCode.AllWorking;
        });
        return command;
    }

    private static Command ListTokens()
    {
        var benches = ServiceInput.Argument();
        var command = new Command("list", "All tokens, without their secrets.") { benches };
        command.SetAction(async (parsed, cancellation) =>
        {
            if (ServiceInput.Load(parsed.GetRequiredValue(benches)) is not { } settings)
                return ExitCode.BadUsage;
            await using var state = await ServiceState.OpenAsync(settings.State, cancellation);
            var (screen, now) = (TextScreen.OnOutput(), TimeProvider.System.GetLocalNow());
            var table = new Table().Border(TableBorder.Simple).AddColumns("Token", "Rights", "Made", "Standing");
            foreach (var token in await state.TokensAsync(cancellation))
            {
                table.AddRow(
                    new Text(token.Name), new Text(Words(token.Rights)), new Text(token.Created.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture)),
                    new Text(token.Revoked is { } revoked ? $"revoked {Minute(revoked)}" : token.IsValid(now) ? token.Expires is { } expires ? $"valid until {Minute(expires)}" : "valid" : $"expired {Minute(token.Expires!.Value)}"));
            }
            if (table.Rows.Count == 0)
                screen.Say("Tokens   ", "none. 'testrig token create' makes one.");
            else
                screen.Show(table);
            return ExitCode.AllWorking;
        });
        return command;
    }

    private static Command RevokeToken()
    {
        var (benches, name) = (ServiceInput.Argument(), NameArgument());
        var command = new Command("revoke", "Refuse a token from now on, for good.") { benches, name };
        command.SetAction(async (parsed, cancellation) =>
        {
            if (ServiceInput.Load(parsed.GetRequiredValue(benches)) is not { } settings)
                return ExitCode.BadUsage;
            await using var state = await ServiceState.OpenAsync(settings.State, cancellation);
            var wanted = parsed.GetRequiredValue(name);
            if (!await state.RevokeAsync(wanted, TimeProvider.System.GetLocalNow(), cancellation))
                throw new BadUsageException([$"There is no token '{wanted}': {NearestName.Suggest(wanted, (await state.TokensAsync(cancellation)).Select(token => token.Name), "tokens")}"]);
            TextScreen.OnOutput().Say("Revoked  ", $"{wanted}. Whoever uses it is refused from the next request on; a job that it started goes on.");
            return ExitCode.AllWorking;
        });
        return command;
    }

    private static Argument<string> NameArgument() => new("NAME") { Description = "The token's name, for example whose it is." };

    private static string NameOf(string written) => written.Length is > 0 and <= 60 && written.All(character => char.IsAsciiLetterOrDigit(character) || character is '.' or '-' or '_')
        ? written
        : throw new BadUsageException([$"'{written}' cannot be a token's name. Use letters A to Z, digits, '.', '-' and '_', 1 to 60 of them."]);

    private static AccessRights RightsOf(string written) => written switch
    {
        Drive => AccessRights.Drive,
        Both => AccessRights.Read | AccessRights.Drive,
        _ => AccessRights.Read,
    };

    private static string Words(AccessRights rights) => rights switch
    {
        AccessRights.Drive => Drive,
        AccessRights.Read | AccessRights.Drive => Both,
        _ => Read,
    };

    private static string Minute(DateTimeOffset instant) => instant.ToString("yyyy-MM-dd HH:mm", CultureInfo.InvariantCulture);
}
