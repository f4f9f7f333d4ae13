using System.Globalization;
using System.Net;
using System.Net.Http.Headers;
using System.Net.Sockets;
using System.Security.Cryptography.X509Certificates;
using System.Text;
using System.Text.RegularExpressions;

namespace TestRig.Tests.Service;

/// <summary>Somebody at an address of their own, with a browser's cookies or with a token in the request; nobody's requests count against another's.</summary>
internal sealed partial class Visitor : IDisposable
{
    private static int _visitors;

    private readonly Uri _service;
    private readonly IPAddress _address;

    /// <param name="secret">Null for a browser.</param>
    /// <param name="authority">Whose certificates are trusted; null for those that the system trusts.</param>
    public Visitor(Uri service, string? secret = null, X509Certificate2? authority = null)
    {
        _service = service;
        // All of 127.0.0.0/8 is this computer (RFC 1122, 3.2.1.3).
        var number = Interlocked.Increment(ref _visitors);
        _address = new([127, 1, (byte)(number / 250), (byte)(1 + number % 250)]);
        Client = new(new SocketsHttpHandler
        {
            AllowAutoRedirect = false,
            CookieContainer = Cookies,
            SslOptions = { CertificateChainPolicy = authority is null ? null : TrustOnly(authority) },
            ConnectCallback = async (context, cancellation) => await ConnectAsync(cancellation),
        })
        { BaseAddress = service, Timeout = TimeSpan.FromMinutes(2) };
        if (secret is not null)
            Client.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue("Bearer", secret);
    }

    public HttpClient Client { get; }

    public CookieContainer Cookies { get; } = new();

    public string Address => _address.ToString();

    /// <summary>What the sign-in page answers to this token.</summary>
    public async Task<HttpResponseMessage> SignInAsync(string secret, string? to = null) =>
        await PostAsync("/sign-in", await ProofAsync("/sign-in"), ("token", secret), ("to", to ?? "/"));

    /// <summary>The proof of a page's forms that they are ours.</summary>
    public async Task<string> ProofAsync(string page) => Proof().Match(await Client.GetStringAsync(page)) is { Success: true } proof ? proof.Groups[1].Value : throw new InvalidOperationException($"{page} has no form");

    /// <param name="proof">Null for none.</param>
    public Task<HttpResponseMessage> PostAsync(string path, string? proof, params (string Name, string Value)[] entries) => Client.PostAsync(
        path, new FormUrlEncodedContent(entries.Select(entry => KeyValuePair.Create(entry.Name, entry.Value)).Concat(proof is null ? [] : [KeyValuePair.Create("__RequestVerificationToken", proof)])));

    /// <summary>Sends exactly this; no client mends a path or leaves a header out.</summary>
    /// <returns>All that is answered until the service closes the connection.</returns>
    public async Task<string> SayAsync(string request)
    {
        await using var stream = await ConnectAsync(CancellationToken.None);
        await stream.WriteAsync(Encoding.Latin1.GetBytes(request));
        return await ReadToEndAsync(stream);
    }

    /// <summary>A request for a path as it stands.</summary>
    public Task<string> AskForAsync(string path, string method = "GET") => SayAsync(
        $"{method} {path} HTTP/1.1\r\nHost: {_service.Authority}\r\nConnection: close\r\n{(Client.DefaultRequestHeaders.Authorization is { } token ? $"Authorization: {token}\r\n" : "")}\r\n");

    public static int StatusOf(string answer) => int.Parse(answer.Split(' ', 3)[1], CultureInfo.InvariantCulture);

    public static async Task<string> ReadToEndAsync(Stream stream)
    {
        using var patience = new CancellationTokenSource(TimeSpan.FromMinutes(2));
        var answer = new StringBuilder();
        var some = new byte[8192];
        try
        {
            while (await stream.ReadAsync(some, patience.Token) is > 0 and var length)
                answer.Append(Encoding.Latin1.GetString(some, 0, length));
        }
        catch (IOException)
        {
            // Closed with something of ours unread: what was answered before counts.
        }
        return answer.ToString();
    }

    public async Task<NetworkStream> ConnectAsync(CancellationToken cancellation)
    {
        var socket = new Socket(AddressFamily.InterNetwork, SocketType.Stream, ProtocolType.Tcp);
        try
        {
            socket.Bind(new IPEndPoint(_address, 0));
            await socket.ConnectAsync(IPAddress.Loopback, _service.Port, cancellation);
            return new(socket, ownsSocket: true);
        }
        catch
        {
            socket.Dispose();
            throw;
        }
    }

    /// <summary>What stands between the authority and the service has to come from the service.</summary>
    private static X509ChainPolicy TrustOnly(X509Certificate2 authority) => new() { TrustMode = X509ChainTrustMode.CustomRootTrust, RevocationMode = X509RevocationMode.NoCheck, CustomTrustStore = { authority } };

    public void Dispose() => Client.Dispose();

    [GeneratedRegex("name=\"__RequestVerificationToken\" (?:type=\"hidden\" )?value=\"([^\"]+)\"")]
    private static partial Regex Proof();
}
