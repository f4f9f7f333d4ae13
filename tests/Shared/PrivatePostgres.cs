using System.Diagnostics;

namespace TestRig.Tests.Shared;

/// <summary>A PostgreSQL server that its owner alone uses; it ends with this, or with the program.</summary>
internal sealed class PrivatePostgres : IDisposable
{
    private readonly Process _server;
    private readonly List<string> _errors = [];

    /// <param name="durable">It forces to the disk what is to be durable, as a server does by default: slower, and what a time is measured with.</param>
    public PrivatePostgres(bool durable)
    {
        _server = new()
        {
            StartInfo = new(Path.Combine(RepositoryRoot.Path, "tools", "private-postgres"), durable ? "--durable" : "") { RedirectStandardInput = true, RedirectStandardOutput = true, RedirectStandardError = true },
        };
        _server.ErrorDataReceived += (_, line) => _errors.Add(line.Data ?? "");
    }

    /// <returns>The address of its first database.</returns>
    public async Task<Uri> StartAsync()
    {
        _server.Start();
        _server.BeginErrorReadLine();
        return new((await AnswerAsync("url "))["url ".Length..]);
    }

    /// <summary>Ends every process of the server at once, wherever it was; when this returns they are gone.</summary>
    public async Task KillAsync()
    {
        await _server.StandardInput.WriteAsync("kill\n");
        await AnswerAsync("killed");
    }

    /// <summary>Starts the server again on the data that it left, at the same address.</summary>
    public async Task StartAgainAsync()
    {
        await _server.StandardInput.WriteAsync("start\n");
        await AnswerAsync("url ");
    }

    /// <summary>Ends it and removes its data.</summary>
    public async Task StopAsync()
    {
        _server.StandardInput.Close();
        await _server.WaitForExitAsync();
    }

    public void Dispose() => _server.Dispose();

    private async Task<string> AnswerAsync(string form)
    {
        var line = await _server.StandardOutput.ReadLineAsync();
        if (line?.StartsWith(form, StringComparison.Ordinal) == true)
            return line;
        await _server.WaitForExitAsync();
        throw new InvalidOperationException($"tools/private-postgres did not start a PostgreSQL server. Run tools/install-needs, then try again.\n{string.Join('\n', _errors)}");
    }
}
